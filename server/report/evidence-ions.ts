import { isRightOrWrong } from "../../src/experiment/endpoint.ts";
import { scaleOf, shownValue } from "../../src/report/synthesis/effect-scale.ts";
import {
  type IonEffect,
  ionDifference,
  ionEffects,
} from "../../src/report/synthesis/ion-effects.ts";
import { ionRefusalSentence, partnerSentence } from "../../src/report/synthesis/ion-wording.ts";
import { type Question, questionSlug } from "../../src/report/synthesis/question.ts";
import { sessionEffect } from "../../src/report/synthesis/session-effect.ts";
import { plain } from "../../src/report/synthesis/wording.ts";
import { answersTo, type ReadSession } from "./evidence-sessions.ts";

/** What is known about each ion's effect on one question; null where answers are right or wrong and have no direction. */
export function ionsView(question: Question, sessions: readonly ReadSession[]) {
  if (isRightOrWrong(question)) return null;
  const scale = scaleOf(question);
  const { unit } = scale;
  const found = ionEffects(
    sessions
      .filter(({ says }) => says.sound)
      .flatMap((read) => ionStudy(read, questionSlug(question))),
  );
  const row = ({ ion, perTenMilligrams }: IonEffect) => {
    const show = (effect: number) => plain(shownValue(effect, scale), unit);
    const { estimate, lower, upper } = perTenMilligrams;
    return {
      ion,
      value: show(estimate),
      lower: show(lower),
      upper: show(upper),
      sureness: lower > 0 || upper < 0 ? "clear of no effect" : "could be no effect at all",
    };
  };
  return {
    refusal: ionRefusalSentence(found),
    partner: found.ok ? partnerSentence(found.partner) : null,
    studies: found.ok ? found.studies : 0,
    counts:
      unit === "lean"
        ? "times in 100 that the cup with 10 mg/L more is picked; 50 is no effect"
        : "points for 10 mg/L more",
    rows: found.ok ? found.effects.map(row) : [],
  };
}

function ionStudy(read: ReadSession, slug: string) {
  const { session } = read;
  const { A, B } = session.plan.treatments;
  const [answers] = answersTo(read, slug, { label: session.name, swapped: false });
  if (!answers || A.addedIons === undefined || B.addedIons === undefined) return [];
  const effect = sessionEffect(answers);
  return effect.ok ? [{ ...effect, ionDifference: ionDifference(B.addedIons, A.addedIons) }] : [];
}
