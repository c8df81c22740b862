import { StringDecoder } from "node:string_decoder";

/** Lines in a group: few enough that slow calculations still show progress. */
const GROUP = 100;

/**
 * Groups of whole lines as they arrive, without their line ends. Lines end at `\n` or `\r\n` only:
 * the separators U+2028 and U+2029 may stand inside a JSON string.
 */
export async function* lineGroups(input: NodeJS.ReadableStream): AsyncGenerator<string[]> {
  const decoder = new StringDecoder("utf8");
  let unfinished = "";
  for await (const chunk of input) {
    const text = typeof chunk === "string" ? chunk : decoder.write(chunk);
    const lines = text.split("\n");
    lines[0] = unfinished + (lines[0] ?? "");
    unfinished = lines.pop() ?? "";
    for (let from = 0; from < lines.length; from += GROUP) {
      yield lines.slice(from, from + GROUP).map(withoutReturn);
    }
  }
  const last = unfinished + decoder.end();
  if (last !== "") yield [withoutReturn(last)];
}

/** Everything that arrives, as one text. */
export async function wholeText(input: NodeJS.ReadableStream): Promise<string> {
  const decoder = new StringDecoder("utf8");
  let text = "";
  for await (const chunk of input) text += typeof chunk === "string" ? chunk : decoder.write(chunk);
  return text + decoder.end();
}

function withoutReturn(line: string): string {
  return line.endsWith("\r") ? line.slice(0, -1) : line;
}
