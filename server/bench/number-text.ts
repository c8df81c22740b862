const SUPERSCRIPTS: Readonly<Record<string, string>> = {
  "-": "⁻",
  "0": "⁰",
  "1": "¹",
  "2": "²",
  "3": "³",
  "4": "⁴",
  "5": "⁵",
  "6": "⁶",
  "7": "⁷",
  "8": "⁸",
  "9": "⁹",
};

/** A number for reading: four significant digits, whole numbers whole, tiny ones as powers of ten. */
export function numberText(value: number): string {
  if (Number.isInteger(value) && Math.abs(value) < 1e15) return withMinus(String(value));
  const size = Math.abs(value);
  if (size >= 1e-4 && size < 1e15) {
    const digits = size >= 1000 ? Math.round(value * 10) / 10 : Number(value.toPrecision(4));
    return withMinus(String(digits));
  }
  const [mantissa = "", exponent = ""] = value.toExponential(3).split("e");
  const power = [...exponent.replace("+", "")].map((sign) => SUPERSCRIPTS[sign] ?? sign).join("");
  return withMinus(`${Number(mantissa)} × 10${power}`);
}

/** A proportion as a percentage of at most three digits. */
export function percentText(share: number): string {
  return `${numberText(Number((share * 100).toPrecision(3)))} %`;
}

function withMinus(text: string): string {
  return text.startsWith("-") ? `−${text.slice(1)}` : text;
}
