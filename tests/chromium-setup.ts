import { findChromium, thisMachine } from "./setup/chromium.ts";

/** Finds a Chromium once for the whole run; browser tests read its path from EVENPOUR_CHROMIUM. */
export default function provideChromium(): void {
  const found = findChromium(thisMachine);
  if (!found.ok) throw new Error(found.message);
  process.env.EVENPOUR_CHROMIUM = found.path;
}
