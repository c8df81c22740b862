import { binomialPValue } from "../../../src/statistics/binomial.ts";
import { clopperPearson, exactLowerLimit, wilson } from "../../../src/statistics/intervals.ts";
import { type Point, testAgainstReference } from "./reference.ts";

const correct = (at: Point) => Math.floor(at("share") * at("n") + 1e-9);
const exact = (at: Point) => clopperPearson(correct(at), at("n"), at("confidence"));
const score = (at: Point) => wilson(correct(at), at("n"), at("confidence"));

testAgainstReference("forced-choice", {
  pValue: (at) => binomialPValue(correct(at), at("n"), at("p0"), "one"),
  lower: (at) => exact(at).lower,
  upper: (at) => exact(at).upper,
  oneSidedLower: (at) => exactLowerLimit(correct(at), at("n"), 1 - at("confidence")),
  wilsonLower: (at) => score(at).lower,
  wilsonUpper: (at) => score(at).upper,
});
