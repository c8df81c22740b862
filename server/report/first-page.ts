/** What stands on a report's first page beside what to keep in mind, as texts that take up lines. */
export interface FirstPage {
  roastery: string;
  imported: boolean;
  question: string;
  treatments: string;
  verdict: readonly string[];
  process: string;
  advice: string;
  /** The main question's verdicts, coffee by coffee. */
  verdicts: readonly { name: string; seen: string; verdict: string }[];
  notes: readonly string[];
  /** Names of the rows of its plot and of the table beside it. */
  plotted: readonly string[];
  definitive: readonly string[];
}

/** A text of the first page: height of a line in millimetres, and the letters that surely fit on one. */
interface Setting {
  line: number;
  letters: number;
}

/* As report.css sets them on paper, in the widest usual letter (DejaVu Sans) and on A4's width. */
const small: Setting = { line: 3.9, letters: 110 };
const plain: Setting = { line: 4.5, letters: 90 };
const asked: Setting = { line: 4.9, letters: 86 };
const found: Setting = { line: 5.5, letters: 66 };
const reason: Setting = { line: 4.5, letters: 76 };
const action: Setting = { line: 4.8, letters: 68 };
const bullet: Setting = { line: 3.9, letters: 46 };
const verdictRow = { line: 4.8, letters: 95, seen: 52, verdict: 30, name: 24 };
const HEADING = 9;
/** Rule, headline and the spaces of the head; the lines that prove it; spaces between the parts. */
const [HEAD, PROOF, SPACES] = [16, 16, 6];

/** Room between the margins, and the letters of a coffee's name in the table beside a plot. */
const papers = {
  a4: { height: 271, nameLetters: 19 },
  letter: { height: 253, nameLetters: 24 },
};

/**
 * Parts what to keep in mind, in its order, into what the first page has room for in two columns on
 * either paper, and what goes on behind it. On a screen all of it stands in one place.
 */
export function firstPageOf(
  page: FirstPage,
  all: readonly string[],
): { first: string[]; more: string[] } {
  const fitting = Object.values(papers).map((paper) => {
    const columns = 2 * (paper.height - heightAbove(page, paper.nameLetters));
    return fittingIn(columns - 2 * HEADING - heightOf(page.definitive, bullet), all);
  });
  // How blind it was is never put off.
  const kept = Math.max(1, Math.min(...fitting));
  return { first: all.slice(0, kept), more: all.slice(kept) };
}

/**
 * How many bullets two columns hold, counted from the first. Bullets stay whole, so one column may
 * end short of the other by all but a line of the longest; that line is the note that there is more.
 */
function fittingIn(height: number, all: readonly string[]): number {
  let [taken, longest] = [0, 0];
  const beyond = all.findIndex((text) => {
    const own = heightOf([text], bullet);
    taken += own;
    longest = Math.max(longest, own);
    return taken + longest > height;
  });
  return beyond === -1 ? all.length : beyond;
}

/** Millimetres of everything but the two lists. */
function heightAbove(page: FirstPage, nameLetters: number): number {
  const head =
    HEAD +
    heightOf([page.question], asked) +
    heightOf([page.treatments], plain) +
    heightOf(page.verdict, found) +
    heightOf([page.process], reason) +
    heightOf([page.advice], action) +
    (page.roastery === "" ? 0 : plain.line) +
    (page.imported ? 4 * plain.line : 0);
  return head + verdictsHeight(page) + plottedHeight(page, nameLetters) + SPACES + PROOF;
}

function verdictsHeight({ verdicts, notes }: FirstPage): number {
  const longest = (column: "name" | "seen" | "verdict") =>
    Math.max(0, ...verdicts.map((row) => row[column].length));
  const wraps = longest("name") + longest("seen") + longest("verdict") > verdictRow.letters;
  const rows = verdicts.map(({ name, seen, verdict }) =>
    wraps
      ? Math.max(
          lines(name, verdictRow.name),
          lines(seen, verdictRow.seen),
          lines(verdict, verdictRow.verdict),
        )
      : 1,
  );
  const table = verdictRow.line * rows.reduce((sum, row) => sum + row, 1);
  return HEADING + table + heightOf(notes, small);
}

/** The drawing, or its caption and table beside it, whichever is higher. */
function plottedHeight({ plotted }: FirstPage, nameLetters: number): number {
  const drawing = 14 + 6.9 * plotted.length;
  const more = plotted.reduce((sum, name) => sum + lines(name, nameLetters) - 1, 0);
  const beside = 32 + verdictRow.line * plotted.length + small.line * more;
  return Math.max(drawing, beside);
}

function heightOf(texts: readonly string[], { line, letters }: Setting): number {
  return line * texts.reduce((sum, text) => sum + lines(text, letters), 0);
}

function lines(text: string, letters: number): number {
  return Math.max(1, Math.ceil(text.length / letters));
}
