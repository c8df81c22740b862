import { randomBytes, scrypt, timingSafeEqual } from "node:crypto";

const COST = { N: 2 ** 15, r: 8, p: 1, maxmem: 64 * 2 ** 20 };
const KEY_BYTES = 32;

/** The fewest characters a passphrase may have. */
export const SHORTEST_PASSPHRASE = 10;

/** Salted scrypt hash of a passphrase, as `scrypt$salt$key` in base64url. */
export async function hashPassphrase(passphrase: string): Promise<string> {
  const salt = randomBytes(16);
  const key = await derive(passphrase, salt);
  return `scrypt$${salt.toString("base64url")}$${key.toString("base64url")}`;
}

/** Whether a passphrase is the one that was hashed. */
export async function passphraseMatches(passphrase: string, hash: string): Promise<boolean> {
  const [kind, salt, key] = hash.split("$");
  if (kind !== "scrypt" || salt === undefined || key === undefined) return false;
  const derived = await derive(passphrase, Buffer.from(salt, "base64url"));
  return timingSafeEqual(derived, Buffer.from(key, "base64url"));
}

function derive(passphrase: string, salt: Buffer): Promise<Buffer> {
  return new Promise((resolve, reject) => {
    scrypt(passphrase.normalize("NFKC"), salt, KEY_BYTES, COST, (error, key) => {
      if (error === null) resolve(key);
      else reject(error);
    });
  });
}
