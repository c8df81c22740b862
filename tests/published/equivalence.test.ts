import { calculated } from "./calculated.ts";
import { testPublished } from "./published-checks.ts";

testPublished("equivalence.json", {
  calculator: calculated,
  ratio: (name, path) => Math.exp(calculated(name, path) ?? Number.NaN),
});
