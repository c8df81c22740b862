import { isIP } from "node:net";
import { z } from "zod";

/** Whose word on a visitor's address is taken: nobody's, that of so many proxies, or of these. */
export type TrustedProxies = false | number | string[];

const MOST_PROXIES = 10;

/**
 * Reads the setting of the reverse proxies in front: empty for none, their number, or their addresses
 * (IPs or ranges such as 10.0.0.0/8) separated by commas.
 */
export const trustedProxiesSchema = z.string().transform((text, context): TrustedProxies => {
  const typed = text.trim();
  if (typed === "" || typed === "0") return false;
  if (/^\d+$/.test(typed) && Number(typed) <= MOST_PROXIES) return Number(typed);
  const addresses = typed.split(",").map((address) => address.trim());
  if (addresses.every(isAddressOrRange)) return addresses;
  const message = `Give how many proxies there are (1 to ${MOST_PROXIES}), or their addresses separated by commas`;
  context.addIssue({ code: "custom", message });
  return z.NEVER;
});

/**
 * The same as the web framework takes it. It trusts no bare number, since whoever reaches the server
 * past the proxies could then claim any address: whoever sets one says that nobody can.
 */
export function trustOf(trusted: TrustedProxies) {
  return typeof trusted === "number" ? (_: string, hop: number) => hop < trusted : trusted;
}

function isAddressOrRange(text: string): boolean {
  const [address = "", bits, ...more] = text.split("/");
  const family = isIP(address);
  if (family === 0 || more.length > 0) return false;
  return (
    bits === undefined || (/^\d{1,3}$/.test(bits) && Number(bits) <= (family === 4 ? 32 : 128))
  );
}
