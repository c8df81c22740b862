import { create as makeQr } from "qrcode";

/** Light modules around the code, as ISO/IEC 18004 asks for. */
const QUIET_ZONE = 4;

/** A QR code as one SVG path: its side in modules (quiet zone included) and the dark modules. */
export function qrDrawing(text: string): { side: number; path: string } {
  const { modules } = makeQr(text, { errorCorrectionLevel: "M" });
  const squares: string[] = [];
  for (let row = 0; row < modules.size; row += 1) {
    for (let column = 0; column < modules.size; column += 1) {
      if (modules.get(row, column)) {
        squares.push(`M${column + QUIET_ZONE} ${row + QUIET_ZONE}h1v1h-1z`);
      }
    }
  }
  return { side: modules.size + 2 * QUIET_ZONE, path: squares.join("") };
}
