import { z } from "zod";
import { fitBetaBinomial } from "../../src/statistics/beta-binomial.ts";
import { calculated } from "./calculated.ts";
import { testPublished } from "./published-checks.ts";

testPublished("replicated.json", {
  calculator: calculated,
  geissler: (quantity) => geissler()[measure.parse(quantity)],
});

const measure = z.enum(["logLikelihood", "aic", "binomialAic", "a", "b", "mu", "rho"]);

/** Families with 0, 1, … boys among their first 12 children (Geissler 1889). */
const FAMILIES = [3, 24, 104, 286, 670, 1033, 1343, 1112, 829, 478, 181, 45, 7];

function geissler(): Record<z.infer<typeof measure>, number> {
  const families = FAMILIES.flatMap((count, boys) =>
    Array.from({ length: count }, () => ({ correct: boys, assessments: 12 })),
  );
  const fit = fitBetaBinomial(families);
  const rho = z.number().parse(fit.overdispersion);
  const sum = 1 / rho - 1;
  return {
    logLikelihood: fit.logLikelihood,
    aic: 4 - 2 * fit.logLikelihood,
    binomialAic: 2 - 2 * fit.binomialLogLikelihood,
    a: fit.proportion * sum,
    b: (1 - fit.proportion) * sum,
    mu: fit.proportion,
    rho,
  };
}
