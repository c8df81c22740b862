import type { Answer } from "../../src/experiment/ballot.ts";
import type { Plan } from "../../src/experiment/plan.ts";
import type { Evidence, UnblindedBallot } from "../../src/report/evidence.ts";
import { rightPosition } from "../../src/report/observations.ts";
import { methods } from "../../src/statistics/discrimination.ts";
import type { Questionnaire } from "../store/blind.ts";
import { chosenText, wording } from "./ballot-form.ts";
import { type Messages, say } from "./messages.ts";

/** One set of a taster with what its cups held. */
export interface OwnSet {
  heading: string;
  /** Why nothing is right or wrong here; null where the set compares the treatments and counts. */
  note: string | null;
  answers: { question: string; lines: string[] }[];
}

/** A taster's own sets, and how often they were right; nothing of anyone else. */
export function ownResult(
  t: Messages,
  asked: Questionnaire,
  evidence: Evidence,
  seatId: string,
): { found: string | null; sets: OwnSet[] } {
  const own = evidence.ballots.filter((ballot) => ballot.seatId === seatId);
  const noteOf = (ballot: UnblindedBallot) => note(t, evidence, ballot);
  return {
    found: foundRight(
      t,
      own.filter((ballot) => noteOf(ballot) === null),
    ),
    sets: own.map((ballot) => ({
      heading: say(t.afterwards.set, { set: ballot.ordinal }),
      note: noteOf(ballot),
      answers: asked.questions[ballot.set].map((question) => ({
        question: wording(t, question),
        lines: lines(t, evidence.plan, ballot, {
          answer: ballot.answers[question.id],
          compared: noteOf(ballot) === null,
        }),
      })),
    })),
  };
}

function note(t: Messages, { mixUps }: Evidence, ballot: UnblindedBallot): string | null {
  const mixedUp = mixUps?.some(
    ({ seatId, ordinal }) => seatId === ballot.seatId && ordinal === ballot.ordinal,
  );
  if (mixedUp) return t.afterwards.mixedUp;
  if (ballot.voidReason !== null) return t.afterwards.notCounted;
  return ballot.control === null ? null : t.afterwards.same;
}

function rightCode(ballot: UnblindedBallot): string | undefined {
  const right = rightPosition(ballot);
  return ballot.cups.find(({ position }) => position === right)?.code;
}

/** How often the taster was right, one sentence a kind of set that has a right answer. */
function foundRight(t: Messages, compared: readonly UnblindedBallot[]): string | null {
  const found = rightSets.flatMap((set) => {
    const own = compared.filter((ballot) => ballot.set === set).flatMap(rightAndWrong);
    if (own.length === 0) return [];
    const right = own.filter(Boolean).length;
    const luck = Math.round(own.length * methods[set].guessing);
    return [say(t.afterwards.found[set], { right, sets: own.length, luck })];
  });
  return found.length === 0 ? null : found.join(" ");
}

/** Whether each answer to a set was right: several questions may share the cups of a 3-AFC. */
function rightAndWrong(ballot: UnblindedBallot): boolean[] {
  const right = rightCode(ballot);
  return Object.values(ballot.answers).map(
    (answer) => "chosen" in answer && answer.chosen === right,
  );
}

const rightSets = ["triangle", "duo-trio", "tetrad", "three-afc"] as const;

function lines(
  t: Messages,
  { treatments }: Plan,
  ballot: UnblindedBallot,
  { answer, compared }: { answer: Answer | undefined; compared: boolean },
): string[] {
  if (answer === undefined) return [];
  if ("cannotTell" in answer) return [t.cannotTell];
  const named = (code: string) => {
    const cup = ballot.cups.find((candidate) => candidate.code === code);
    return compared && cup !== undefined ? `${code}: ${treatments[cup.treatment].name}` : code;
  };
  if ("scores" in answer) {
    return ballot.cups.map(({ code }) => `${named(code)} – ${answer.scores[code] ?? ""}`);
  }
  if (ballot.set === "ab" || ballot.set === "three-afc") return [named(answer.chosen)];
  const codes = ballot.cups.map(({ code }) => code);
  const shown = (code: string) => chosenText(ballot.set, codes, code);
  if (!compared) return [shown(answer.chosen)];
  const right = shown(rightCode(ballot) ?? "");
  return [say(t.afterwards.right[ballot.set], { chosen: shown(answer.chosen), right })];
}
