import { newToken } from "../server/deps.ts";
import { draftOf } from "../server/lead/plan-form.ts";
import { seal } from "../server/sealing.ts";
import { appendEvent } from "../server/store/events.ts";
import { addExperiment } from "../server/store/experiments.ts";
import { addLead } from "../server/store/leads.ts";
import { addSession, moveSession, sessionById } from "../server/store/sessions.ts";
import { type Plan, planSchema } from "../src/experiment/plan.ts";
import type { House } from "./app.ts";

/** A session in the store, sealed under `plan`. */
export interface SealedFixture {
  sessionId: string;
  experimentId: string;
  leadId: string;
  joinCode: string;
  plan: Plan;
}

/**
 * A plan with every kind of question over three coffees: triangles, and pairs for a direction, a
 * preference and a score; four tasters and one spare seat.
 */
export const examplePlan: Plan = {
  title: "Minerals after brewing",
  question: "Do minerals added after brewing taste different from minerals in the brew water?",
  hypothesis: "After brewing tastes brighter",
  treatments: {
    A: {
      name: "Minerals in the brew water",
      description: "Stock goes into the tank",
      mineralsInReadingMilligramsPerLitre: 0,
    },
    B: {
      name: "Minerals into the pot",
      description: "Stock goes into the pot",
      mineralsInReadingMilligramsPerLitre: 0,
    },
  },
  coffees: [
    { id: "c1", name: "Sallow", roast: "very light" },
    { id: "c2", name: "Bramble", roast: "medium" },
    { id: "c3", name: "Cinder", roast: "dark" },
  ],
  endpoints: [
    { id: "e1", role: "primary", kind: "overall-difference", method: "triangle", margin: 0.3 },
    {
      id: "e2",
      role: "secondary",
      kind: "direction",
      attribute: "bright",
      expected: "B",
      margin: 0.3,
    },
    { id: "e3", role: "exploratory", kind: "preference", margin: 0.3 },
    {
      id: "e4",
      role: "exploratory",
      kind: "attribute-score",
      attribute: "sourness",
      lowAnchor: "not sour",
      highAnchor: "very sour",
      margin: 8,
    },
    { id: "e5", role: "exploratory", kind: "extraction-yield", margin: 0.5 },
  ],
  alpha: 0.05,
  coffeeClaims: "after-overall",
  tasters: 4,
  spareSeats: 1,
  brewPairsPerCoffee: 1,
  replicates: 1,
  controls: { samePot: 1, sameTreatmentPairsPerCoffee: 0 },
  coffeeOrder: "rounds",
  cannotTellAllowed: false,
  brewers: ["North", "South"],
  recipe: {
    doseGrams: 60,
    brewWaterGrams: 1000,
    millilitresPerCup: 15,
    servingTemperatureCelsius: 60,
  },
  brewLimits: { doseGrams: 0.3, brewWaterGrams: 5, brewSeconds: 20, tdsSpreadPercent: 0.04 },
  substances: ["magnesium chloride", "potassium bicarbonate"],
  exclusionRule: "Only sets voided in the incident log are left out.",
};

const [, ...otherQuestions] = examplePlan.endpoints;

/** The example plan with a duo-trio for its triangle and a 3-AFC beside, and with a tetrad. */
export const otherMethods: readonly { name: string; endpoints: Plan["endpoints"] }[] = [
  {
    name: "duo-trio and 3-AFC",
    endpoints: [
      {
        id: "e1",
        role: "primary",
        kind: "overall-difference",
        method: "duo-trio",
        reference: "balanced",
        margin: 0.3,
      },
      {
        id: "e6",
        role: "secondary",
        kind: "attribute-difference",
        attribute: "smoky",
        expected: "B",
        margin: 0.3,
      },
      ...otherQuestions,
    ],
  },
  {
    name: "tetrad",
    endpoints: [
      { id: "e1", role: "primary", kind: "overall-difference", method: "tetrad", margin: 0.3 },
      ...otherQuestions,
    ],
  },
];

/** Stores an experiment with one session and seals it under the example plan with `overrides`. */
export async function sealedSession(
  house: House,
  overrides: Partial<Plan> = {},
): Promise<SealedFixture> {
  const plan = planSchema.parse({ ...examplePlan, ...overrides });
  const [leadId, experimentId, sessionId] = [
    newToken(house.deps),
    newToken(house.deps),
    newToken(house.deps),
  ];
  const at = house.deps.clock().toISOString();
  await house.deps.store.transaction().execute(async (trx) => {
    await addLead(trx, {
      id: leadId,
      name: `Lead ${leadId.slice(0, 8)}`,
      passphraseHash: "none",
      at,
    });
    await addExperiment(trx, {
      id: experimentId,
      title: plan.title,
      draft: draftOf(plan),
      copiedFrom: null,
      createdBy: leadId,
      at,
    });
    await addSession(trx, {
      id: sessionId,
      experimentId,
      name: "First session",
      heldOn: "2026-03-02",
      at,
    });
  });
  const sealed = await seal(house.deps, { sessionId, plan, actor: `lead:${leadId}` });
  if (!sealed.ok) throw new Error(JSON.stringify(sealed));
  const joinCode = (await sessionById(house.deps.store, sessionId))?.sealed?.joinCode ?? "";
  return { sessionId, experimentId, leadId, joinCode, plan };
}

/** A sealed session that tasters may answer. */
export async function openSession(
  house: House,
  overrides: Partial<Plan> = {},
): Promise<SealedFixture> {
  const fixture = await sealedSession(house, overrides);
  await move(house, fixture, "open", "opened");
  return fixture;
}

/** Ends the answering of an open session. */
export async function closeSession(house: House, fixture: SealedFixture): Promise<void> {
  await move(house, fixture, "closed", "closed");
}

/** Opens the key of a closed session. */
export async function unblindSession(house: House, fixture: SealedFixture): Promise<void> {
  await move(house, fixture, "unblinded", "unblinded");
}

async function move(
  house: House,
  { sessionId, leadId }: SealedFixture,
  state: "open" | "closed" | "unblinded",
  kind: string,
): Promise<void> {
  const at = house.deps.clock().toISOString();
  await house.deps.store.transaction().execute(async (trx) => {
    await moveSession(trx, sessionId, state, at);
    await appendEvent(trx, sessionId, { at, actor: `lead:${leadId}`, kind, body: {} });
  });
}
