import type { FastifyReply, FastifyRequest } from "fastify";
import { type Deps, hashToken, overHttps } from "../deps.ts";
import { type Seat, seatByToken } from "../store/blind.ts";

const SEAT_COOKIE = "evenpour_seat";
const SEAT_DAYS = 7;

/** The seat whose token this phone carries; undefined when it has none or the seat was given up. */
export async function seatOf(request: FastifyRequest, deps: Deps): Promise<Seat | undefined> {
  const token = seatToken(request);
  return token === undefined ? undefined : await seatByToken(deps.store, hashToken(token));
}

/** The signed seat token of a request, before anyone looks whether a seat has it. */
export function seatToken(request: FastifyRequest): string | undefined {
  const { valid, value } = request.unsignCookie(request.cookies[SEAT_COOKIE] ?? "");
  return valid ? value : undefined;
}

/** Gives the phone its seat token. */
export function giveSeat(deps: Deps, reply: FastifyReply, token: string): void {
  reply.setCookie(SEAT_COOKIE, token, {
    path: "/",
    httpOnly: true,
    sameSite: "lax",
    signed: true,
    secure: overHttps(deps),
    maxAge: SEAT_DAYS * 86_400,
  });
}

export function takeSeatBack(reply: FastifyReply): void {
  reply.clearCookie(SEAT_COOKIE, { path: "/" });
}
