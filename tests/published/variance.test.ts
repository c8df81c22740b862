import { calculated } from "./calculated.ts";
import { testPublished } from "./published-checks.ts";

testPublished("variance.json", { calculator: calculated });
