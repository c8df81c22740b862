import { z } from "zod";

const text = z.string().min(1);
const notice = z.strictObject({ title: text, text });

/** Every text of the taster's pages in one language; `{name}` stands for a value. */
export const messagesSchema = z.strictObject({
  languageName: text,
  codeTitle: text,
  codeLabel: text,
  codeHint: text,
  codeMissing: text,
  codeUnknown: text,
  codeTooMany: text,
  goOn: text,
  mend: text,
  mistake: text,
  joinTitle: text,
  joinText: text,
  nameLabel: text,
  nameHint: text,
  nameMissing: text,
  nameLong: text,
  beforeTitle: text,
  keptTitle: text,
  keptText: text,
  phoneText: text,
  leaveText: text,
  consentLabel: text,
  consentMissing: text,
  spitLabel: text,
  spitMissing: text,
  join: text,
  sitOut: text,
  seat: text,
  waitTitle: text,
  waitText: text,
  lookAgain: text,
  setOf: text,
  serving: text,
  oddCup: text,
  moreOf: text,
  likedBetter: text,
  howStrong: text,
  guess: text,
  scale: text,
  cup: text,
  notSet: text,
  cannotTell: text,
  commentLabel: text,
  commentHint: text,
  lookOnceMore: text,
  reviewTitle: text,
  reviewText: text,
  comment: text,
  lock: text,
  change: text,
  chooseCup: text,
  notOnTray: text,
  setScore: text,
  notAScore: text,
  commentLong: text,
  status: text,
  waitingTitle: text,
  waitingText: text,
  unsentText: text,
  done: notice,
  allReceived: text,
  stop: text,
  stopping: notice,
  unlinking: notice,
  stopYes: text,
  stopNo: text,
  notices: z.strictObject({
    sittingOut: notice,
    stopped: notice,
    unlinked: notice,
    full: notice,
    joinClosed: notice,
    closed: notice,
    notOpenYet: notice,
    voided: notice,
    inactive: notice,
    differs: notice,
    notYours: notice,
    noSeat: notice,
    expired: notice,
    tooMany: notice,
    broken: notice,
  }),
  /** By the code of the caution; their values are those of the caution. */
  cautions: z.record(z.string(), text),
});
export type Messages = z.infer<typeof messagesSchema>;
export type NoticeName = keyof Messages["notices"];

/** A text with its values in place of their names. A name without a value is a bug. */
export function say(template: string, values: Readonly<Record<string, string | number>>): string {
  return template.replace(/\{(\w+)\}/g, (_, name: string) => {
    const value = values[name];
    if (value === undefined) throw new Error(`The text “${template}” has no value for ${name}`);
    return String(value);
  });
}
