import { bench, describe } from "vitest";
import { planExperiment } from "../../seed/play.ts";
import { openHouse } from "../app.ts";
import { examplePlan } from "../sealed-session.ts";
import { brightPlan, sit } from "../server/bright-sitting.ts";

/** Forty sessions of ten tasters and four coffees, twice over: 3,200 answers to one question. */
const SESSIONS = 40;

const house = await openHouse();
const lead = await house.signedInLead();
const [coffee] = examplePlan.coffees;
if (coffee === undefined) throw new Error("The example plan has coffees");
const coffees = ["Sallow", "Petrel", "Bramble", "Anvil"].map((name, i) => ({
  ...coffee,
  id: `c${i + 1}`,
  name,
}));
const experimentId = await planExperiment(lead, brightPlan({ coffees, replicates: 2 }));
for (let session = 1; session <= SESSIONS; session += 1) {
  await sit(house, lead, experimentId, { name: `Sitting ${session}`, picksOfB: 5 + (session % 5) });
}

const pages = {
  "question over all experiments": "/lead/evidence/direction-bright",
  "one experiment's evidence": `/lead/experiments/${experimentId}/evidence`,
  "shelf of questions": "/lead/evidence",
};

describe(`Evidence of ${SESSIONS} sessions`, () => {
  for (const [name, path] of Object.entries(pages)) {
    bench(
      name,
      async () => {
        const { statusCode } = await lead.get(path);
        if (statusCode !== 200) throw new Error(`${path} answered ${statusCode}`);
      },
      { iterations: 5, time: 0, warmupIterations: 1, warmupTime: 0 },
    );
  }
});
