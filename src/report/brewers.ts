import { isRightOrWrong } from "../experiment/endpoint.ts";
import { reachesAlpha } from "../statistics/binomial.ts";
import { gridOf } from "../statistics/decimals.ts";
import { pairedT } from "../statistics/paired.ts";
import { type BrewFinding, yieldPairs } from "./brew-yields.ts";
import type { BrewerFinding, ControlFinding } from "./checks.ts";
import { type Counted, pairKey } from "./counted.ts";
import type { EndpointFinding } from "./endpoint-finding.ts";
import { signFlipPValue } from "./endpoints/sign-flips.ts";
import type { UnblindedPot } from "./evidence.ts";
import { groupBy } from "./observations.ts";

/** A test pair whose two pots came from two brewers. */
interface CrossedPair {
  key: string;
  coffeeId: string;
  a: UnblindedPot;
  b: UnblindedPot;
}

/**
 * Whether brewers and treatments can be told apart. Pots of one brewer within each pair can't
 * confuse them; two brewers must have made both treatments about equally in each coffee. When they
 * did not, and anything says that brewers differ, the test is not sound.
 */
export function brewerFinding(
  counted: Counted,
  primary: EndpointFinding,
  controls: readonly ControlFinding[],
  brews: readonly BrewFinding[],
  alpha: number,
): BrewerFinding {
  const pairs = crossedPairs(counted.pots);
  const swapped = pairs.length === 0 ? "one-brewer" : areSwapped(pairs) ? "swapped" : "not-swapped";
  return {
    swapped,
    brewers: potsByBrewer(pairs),
    pValue: swapped === "swapped" ? brewerPValue(pairs, primary) : null,
    differBy: swapped === "not-swapped" ? differBy(pairs, primary, controls, brews, alpha) : null,
  };
}

const brewerOf = (pot: UnblindedPot) => pot.brew?.brewer ?? pot.plannedBrewer;

function crossedPairs(pots: readonly UnblindedPot[]): CrossedPair[] {
  const tests = pots.filter((pot) => !pot.controlPair);
  return [...groupBy(tests, pairKey)].flatMap(([key, pair]) => {
    const a = pair.find((pot) => pot.treatment === "A");
    const b = pair.find((pot) => pot.treatment === "B");
    if (!a || !b || brewerOf(a) === brewerOf(b)) return [];
    return [{ key, coffeeId: a.coffeeId, a, b }];
  });
}

function potsByBrewer(pairs: readonly CrossedPair[]): BrewerFinding["brewers"] {
  const brewers = new Set(pairs.flatMap(({ a, b }) => [brewerOf(a), brewerOf(b)]));
  return [...brewers].sort().map((brewer) => ({
    brewer,
    potsOfA: pairs.filter(({ a }) => brewerOf(a) === brewer).length,
    potsOfB: pairs.filter(({ b }) => brewerOf(b) === brewer).length,
  }));
}

/**
 * Two brewers who share several pairs each made both treatments, within a coffee one of them at most
 * once more; and somebody made both at all.
 */
function areSwapped(pairs: readonly CrossedPair[]): boolean {
  const shared = [...groupBy(pairs, coupleOf).values()].filter((own) => own.length > 1);
  return shared.every(isEven) && potsByBrewer(pairs).some(madeBoth);
}

const coupleOf = ({ a, b }: CrossedPair) => [brewerOf(a), brewerOf(b)].sort().join("\n");

function isEven(pairs: readonly CrossedPair[]): boolean {
  const byCoffee = [...groupBy(pairs, ({ coffeeId }) => coffeeId).values()];
  return (
    potsByBrewer(pairs).every(madeBoth) &&
    byCoffee.every((own) =>
      potsByBrewer(own).every(({ potsOfA, potsOfB }) => Math.abs(potsOfA - potsOfB) <= 1),
    )
  );
}

const madeBoth = ({ potsOfA, potsOfB }: BrewerFinding["brewers"][number]) =>
  potsOfA > 0 && potsOfB > 0;

/**
 * Exact sign-flip over pairs of the primary endpoint's lean towards one brewer's pots, whatever they
 * hold; for two brewers and an endpoint with a direction.
 */
function brewerPValue(pairs: readonly CrossedPair[], primary: EndpointFinding): number | null {
  const [first, second, third] = potsByBrewer(pairs);
  if (!first || !second || third || isRightOrWrong(primary)) return null;
  const leans = pairs.flatMap(({ key, b }) => {
    const found = primary.process.pairList.find((pair) => pairKey(pair) === key);
    if (!found) return [];
    const lean = primary.unit === "lean" ? 2 * found.value - 1 : found.value;
    return [brewerOf(b) === first.brewer ? lean : -lean];
  });
  return signFlipPValue(leans, LEAN_GRID);
}

/** Fine enough that rounding a lean changes nothing that anyone would act on. */
const LEAN_GRID = 1e6;

/**
 * What says that brewers differ while each made its own treatment. With one pair there is nothing to
 * swap: the claim is about those cups only, whoever made them.
 */
function differBy(
  pairs: readonly CrossedPair[],
  primary: EndpointFinding,
  controls: readonly ControlFinding[],
  brews: readonly BrewFinding[],
  alpha: number,
): BrewerFinding["differBy"] {
  if (pairs.length < 2) return null;
  const potsDiffer = controls.some(
    ({ control, pValue }) =>
      control === "same-treatment" && pValue !== null && reachesAlpha(pValue, alpha),
  );
  if (potsDiffer) return "control-pairs";
  const keys = new Set(pairs.map(({ key }) => key));
  const yields = yieldPairs(brews).filter((pair) => keys.has(pairKey(pair)));
  if (
    differs(
      yields.map(({ value }) => value),
      alpha,
    )
  )
    return "yield";
  const seconds = pairs.flatMap(({ a, b }) =>
    a.brew && b.brew ? [b.brew.brewSeconds - a.brew.brewSeconds] : [],
  );
  if (differs(seconds, alpha)) return "brew-time";
  return primary.shownBy === null ? null : "treatments-confounded";
}

function differs(differences: readonly number[], alpha: number): boolean {
  if (differences.length < 2) return false;
  const { pValue } = pairedT(gridOf(differences));
  return pValue !== null && reachesAlpha(pValue, alpha);
}
