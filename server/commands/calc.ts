import { parseArgs } from "node:util";
import type { Calculator } from "../../src/calculators/calculator.ts";
import { calculators } from "../../src/calculators/registry.ts";
import { answerText, findCalculator } from "../api/answer.ts";
import { schemasOf } from "../api/schemas.ts";
import { lineGroups, wholeText } from "./lines.ts";
import type { Terminal } from "./terminal.ts";

export const calcHelp = `evenpour calc --list
prints every calculator's name, a tab and one sentence

evenpour calc NAME
reads one JSON object from standard input and prints its result as one JSON object

evenpour calc NAME --lines
reads one JSON object a line and prints one result a line, in order; a bad line answers
{"error":…} in its place

evenpour calc NAME --schema
prints the JSON Schema of input and output

Exit codes: 0 computed; 1 at least one bad line; 2 bad input or bad call, with {"error":…} on
standard error`;

/** Runs a calculator on standard input. */
export async function calc(args: string[], terminal: Terminal): Promise<number> {
  const call = readCall(args);
  if (call === null) return terminal.fail(calcHelp);
  if (call.list) {
    for (const { name, summary } of calculators.values()) terminal.say(`${name}\t${summary}`);
    return 0;
  }
  const found = findCalculator(call.name);
  if (!found.ok) return terminal.fail(JSON.stringify(found.body));
  if (call.schema) {
    terminal.say(JSON.stringify(schemasOf(found.calculator), null, 2));
    return 0;
  }
  return call.lines
    ? await answerLines(found.calculator, terminal)
    : await answerOnce(found.calculator, terminal);
}

interface Call {
  name: string;
  list: boolean;
  lines: boolean;
  schema: boolean;
}

const flag = { type: "boolean", default: false } as const;

/** The call that the arguments make; null when they make none. */
function readCall(args: string[]): Call | null {
  try {
    const { values, positionals } = parseArgs({
      args,
      options: { list: flag, lines: flag, schema: flag },
      allowPositionals: true,
    });
    const [name = "", ...more] = positionals;
    const complete = values.list ? name === "" : name !== "";
    return complete && more.length === 0 ? { name, ...values } : null;
  } catch {
    return null;
  }
}

async function answerOnce(calculator: Calculator, terminal: Terminal): Promise<number> {
  const answer = answerText(calculator, await wholeText(terminal.input));
  if (!answer.ok) return terminal.fail(JSON.stringify(answer.body));
  terminal.say(JSON.stringify(answer.output));
  return 0;
}

/** Answers lines as they come and waits whenever the reader of the results is slower. */
async function answerLines(calculator: Calculator, terminal: Terminal): Promise<number> {
  const remembered = new Map<string, LineAnswer>();
  let allGood = true;
  for await (const lines of lineGroups(terminal.input)) {
    const asked = lines.filter((line) => line.trim() !== "");
    const answers = asked.map((line) => answerLine(calculator, line, remembered));
    allGood &&= answers.every((answer) => answer.good);
    const somebodyReads = await terminal.write(answers.map((answer) => answer.text).join(""));
    if (!somebodyReads) break;
  }
  return allGood ? 0 : 1;
}

interface LineAnswer {
  good: boolean;
  text: string;
}

/** Distinct lines that are remembered, each of at most so many characters. */
const REMEMBERED = 10_000;
const REMEMBERED_LENGTH = 500;

/** Calculators are pure: a line that was answered before has the same answer. */
function answerLine(
  calculator: Calculator,
  line: string,
  remembered: Map<string, LineAnswer>,
): LineAnswer {
  const known = remembered.get(line);
  if (known !== undefined) return known;
  const answer = answerText(calculator, line);
  const text = `${JSON.stringify(answer.ok ? answer.output : answer.body)}\n`;
  const lineAnswer = { good: answer.ok, text };
  if (remembered.size < REMEMBERED && line.length <= REMEMBERED_LENGTH) {
    remembered.set(line, lineAnswer);
  }
  return lineAnswer;
}
