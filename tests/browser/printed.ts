import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Page } from "playwright-core";

/** Text as it stands on paper: its left edge and baseline in millimetres from the top left corner. */
export interface PrintedText {
  text: string;
  left: number;
  right: number;
  baseline: number;
}

export interface PrintedPage {
  /** Millimetres. */
  width: number;
  height: number;
  texts: PrintedText[];
}

export type PaperSize = "A4" | "Letter";

const MILLIMETRES_PER_POINT = 25.4 / 72;

/**
 * Prints a page to PDF as Chromium's own dialogue would, without scaling, and reads it back. Saves
 * it as NAME-SIZE.pdf in the folder EVENPOUR_PICTURES, when that is set.
 */
export async function printed(page: Page, size: PaperSize, name: string): Promise<PrintedPage[]> {
  const pdf = await page.pdf({ format: size, printBackground: false });
  const folder = process.env.EVENPOUR_PICTURES;
  if (folder !== undefined) {
    mkdirSync(folder, { recursive: true });
    writeFileSync(join(folder, `${name}-${size}.pdf`), pdf);
  }
  return await readPdf(new Uint8Array(pdf));
}

async function readPdf(data: Uint8Array): Promise<PrintedPage[]> {
  const { getDocument } = await import("pdfjs-dist/legacy/build/pdf.mjs");
  const task = getDocument({ data, verbosity: 0 });
  const document = await task.promise;
  const pages: PrintedPage[] = [];
  for (let number = 1; number <= document.numPages; number += 1) {
    const page = await document.getPage(number);
    const [, , width = 0, height = 0] = page.view;
    const { items } = await page.getTextContent();
    const texts = items.flatMap((item) => {
      if (!("str" in item) || item.str.trim() === "") return [];
      const [, , , , x, y] = item.transform.map(Number);
      if (x === undefined || y === undefined) return [];
      return [
        {
          text: item.str.trim(),
          left: x * MILLIMETRES_PER_POINT,
          right: (x + item.width) * MILLIMETRES_PER_POINT,
          baseline: (height - y) * MILLIMETRES_PER_POINT,
        },
      ];
    });
    pages.push({
      width: width * MILLIMETRES_PER_POINT,
      height: height * MILLIMETRES_PER_POINT,
      texts,
    });
  }
  await task.destroy();
  return pages;
}
