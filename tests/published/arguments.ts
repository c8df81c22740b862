import { z } from "zod";
import { methodNames } from "../../src/statistics/methods/method.ts";

/** Reads the columns of a check's input row. */
export const methodOf = (value: unknown) => z.enum(methodNames).parse(value);
export const sidesOf = (value: unknown) => z.enum(["one", "two"]).parse(value);
export const numbersOf = (values: unknown[]) => z.array(z.number()).parse(values);
export const numberOf = (value: unknown) => z.number().parse(value);
