import type { SoundnessFault } from "../findings.ts";

/** What has to change before a test that was not sound is run again. */
export function mendSentence(fault: SoundnessFault): string {
  switch (fault) {
    case "blind-broke":
      return "Run it again with the key closed until the last answer is in.";
    case "brewers-not-swapped":
      return "Run it again with every brewer brewing both treatments, swapped within each coffee.";
    case "controls-differ":
      return "Before running it again, find what told the hidden pairs apart: temperature, volume, a cup or a code can do it.";
  }
}
