import { presentationsPerTaster } from "../../src/experiment/served-sets.ts";
import type { Findings } from "../../src/report/findings.ts";
import type { SealedSession } from "../sealed-session.ts";

/** What the plan had against what came; seats and ballots are those of leavers too, until they are counted. */
export function plannedAndHappened(
  { conduct, serving }: Findings,
  { plan, origin }: SealedSession,
  events: readonly { kind: string }[],
) {
  const withdrew = events.filter(({ kind }) => kind === "taster-withdrew").length;
  const ballots =
    origin === "imported" ? conduct.ballotsExpected : plan.tasters * presentationsPerTaster(plan);
  return [
    {
      what: origin === "imported" ? "Tasters" : "Seats taken, leavers included",
      planned: conduct.tastersPlanned,
      happened: conduct.seatsStarted,
    },
    ...(withdrew === 0
      ? []
      : [{ what: "Tasters who withdrew with their answers", planned: 0, happened: withdrew }]),
    { what: "Ballots that came in", planned: ballots, happened: conduct.ballotsReceived },
    { what: "Ballots counted", planned: ballots, happened: conduct.ballotsCounted },
    {
      what: "Brew pairs logged",
      planned: conduct.brewPairsPlanned,
      happened: conduct.brewPairsLogged,
    },
    { what: "Brew pairs rejected", planned: 0, happened: conduct.brewPairsRejected },
    ...(serving === null || serving.ballots === 0
      ? []
      : [
          {
            what: "Ballots outside the serving window",
            planned: 0,
            happened: serving.tooEarly + serving.tooLate,
          },
        ]),
  ];
}
