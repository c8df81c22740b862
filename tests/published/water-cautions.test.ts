import { z } from "zod";
import { caffeineLoad } from "../../src/safety/caffeine.ts";
import { secondsToBurn, servingLimits } from "../../src/safety/heat.ts";
import { mineralIntake } from "../../src/safety/minerals.ts";
import { notices } from "../../src/safety/notices.ts";
import { saltNames, saltTable } from "../../src/water/salts.ts";
import { numberOf, numbersOf } from "./arguments.ts";
import { testPublished } from "./published-checks.ts";

const saltOf = (value: unknown) => z.enum(saltNames).parse(value);
const referenceOf = (value: unknown) =>
  z.enum(["magnesium", "sodium", "potassium", "chloride"]).parse(value);

testPublished("water-cautions.json", {
  caffeineLimit: (pregnant) =>
    caffeineLoad({ cups: 1, millilitresPerCup: 1, pregnant: pregnant === 1 }).limitMilligrams,
  caffeine: (...sitting) => {
    const [cups = 0, millilitresPerCup = 0, swallowedFraction = 0] = numbersOf(sitting);
    return caffeineLoad({ cups, millilitresPerCup, swallowedFraction }).milligrams;
  },
  withinLimit: (millilitres) =>
    Number(caffeineLoad({ cups: 1, millilitresPerCup: numberOf(millilitres) }).withinLimit),
  sleepNotice: (millilitres) => {
    const found = notices({ cups: 1, millilitresPerCup: numberOf(millilitres) });
    return Number(found.some(({ code }) => code === "caffeine-sleep"));
  },
  hotFrom: () => servingLimits.hotFrom,
  secondsToBurn: (temperature) => secondsToBurn(numberOf(temperature)),
  mineralShare: (ion, milligramsPerLitre, millilitres) => {
    const added = { [referenceOf(ion)]: numberOf(milligramsPerLitre) };
    return mineralIntake(added, numberOf(millilitres))[0]?.percentOfReference ?? null;
  },
  eNumber: (salt) => Number(/^E(\d+)/.exec(saltTable[saltOf(salt)].eNumber ?? "")?.[1]),
  assay: (salt, end) => saltTable[saltOf(salt)].assayPercent[end === 0 ? 0 : 1],
});
