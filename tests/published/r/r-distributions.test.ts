import * as d from "../../../src/statistics/distributions.ts";
import { type Columns, type Point, testAgainstReference } from "./reference.ts";

const count = (at: Point) => Math.round(at("share") * at("n"));

const families: Record<string, Columns> = {
  normal: {
    lower: (at) => d.normalLowerTail(at("z")),
    upper: (at) => d.normalUpperTail(at("z")),
    logLower: (at) => d.normalLogLowerTail(at("z")),
  },
  "normal-quantile": { lower: (at) => d.normalLowerQuantile(at("p")) },
  t: {
    lower: (at) => d.tLowerTail(at("t"), at("df")),
    upper: (at) => d.tUpperTail(at("t"), at("df")),
  },
  "t-quantile": { upper: (at) => d.tUpperQuantile(at("q"), at("df")) },
  "noncentral-t": {
    lower: (at) => d.noncentralTLowerTail(at("t"), at("df"), at("ncp")),
    upper: (at) => d.noncentralTUpperTail(at("t"), at("df"), at("ncp")),
  },
  "chi-square": {
    lower: (at) => d.chiSquareLowerTail(at("ratio") * at("df"), at("df")),
    upper: (at) => d.chiSquareUpperTail(at("ratio") * at("df"), at("df")),
  },
  "chi-square-quantile": {
    lower: (at) => d.chiSquareLowerQuantile(at("p"), at("df")),
    upper: (at) => d.chiSquareUpperQuantile(at("p"), at("df")),
  },
  f: {
    lower: (at) => d.fLowerTail(at("f"), at("df1"), at("df2")),
    upper: (at) => d.fUpperTail(at("f"), at("df1"), at("df2")),
  },
  "f-quantile": { upper: (at) => d.fUpperQuantile(at("q"), at("df1"), at("df2")) },
  beta: {
    lower: (at) => d.betaLowerTail(at("x"), at("a"), at("b")),
    upper: (at) => d.betaUpperTail(at("x"), at("a"), at("b")),
  },
  "beta-quantile": {
    lower: (at) => d.betaLowerQuantile(at("p"), at("a"), at("b")),
    upper: (at) => d.betaUpperQuantile(at("p"), at("a"), at("b")),
  },
  binomial: {
    lower: (at) => d.binomialLowerTail(count(at), at("n"), at("p")),
    upper: (at) => d.binomialUpperTail(count(at), at("n"), at("p")),
    probability: (at) => d.binomialProbability(count(at), at("n"), at("p")),
  },
  "binomial-quantile": {
    lower: (at) => d.binomialLowerQuantile(at("p"), at("n"), at("success")),
    upper: (at) => d.binomialUpperQuantile(at("p"), at("n"), at("success")),
  },
};

for (const [name, columns] of Object.entries(families)) testAgainstReference(name, columns);
