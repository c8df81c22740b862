import type { FastifyPluginAsync, FastifyReply } from "fastify";
import type { Deps } from "../deps.ts";
import { notFound, type PublicRefusal, sendRefusal } from "../errors.ts";
import { openedTrays } from "../store/opened-key.ts";
import { type SealedPart, type Session, secretsOf, sessionById } from "../store/sessions.ts";
import { brewerPots } from "../store/sheets.ts";
import { openedEarly } from "./early-key.ts";

type SessionRoute = { Params: { sessionId: string } };

/** The opened key: as a page once it has been opened, as data for checking once unblinded. */
export function openKey(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    app.get<SessionRoute>("/lead/sessions/:sessionId/key", { config }, async (request, reply) => {
      const session = await sessionById(deps.store, request.params.sessionId);
      if (!session?.sealed || session.origin === "imported") {
        return sendRefusal(request, reply, notFound);
      }
      const early = await openedEarly(deps.store, session.id);
      if (session.state !== "unblinded" && early.length === 0) {
        return sendRefusal(request, reply, keyShut);
      }
      return await showKey(deps, reply, session, session.sealed);
    });
    app.get<SessionRoute>(
      "/lead/sessions/:sessionId/key.json",
      { config },
      async (request, reply) => {
        const session = await sessionById(deps.store, request.params.sessionId);
        if (!session?.sealed || session.origin === "imported") {
          return sendRefusal(request, reply, notFound);
        }
        if (session.state !== "unblinded") return sendRefusal(request, reply, keyShut);
        const { keyJson, nonceHex } = await secretsOf(deps.store, session.id);
        const { commitment } = session.sealed;
        return reply
          .header("content-disposition", 'attachment; filename="key.json"')
          .send({ commitment, nonce: nonceHex, key: JSON.parse(keyJson) });
      },
    );
  };
}

const keyShut: PublicRefusal = {
  status: 409,
  headline: "The key is shut",
  advice: "It opens when the session has been closed and unblinded.",
};

async function showKey(deps: Deps, reply: FastifyReply, session: Session, sealed: SealedPart) {
  const pots = await brewerPots(deps.store, session.id);
  const trays = await openedTrays(deps.store, session.id);
  const names = new Map(sealed.plan.coffees.map((coffee) => [coffee.id, coffee.name]));
  const coffee = (id: string) => names.get(id) ?? id;
  const final = session.state === "unblinded";
  return reply.page("lead/key", {
    title: `Key of ${session.name}`,
    id: session.id,
    name: session.name,
    treatments: (["A", "B"] as const).map((letter) => ({
      letter,
      name: sealed.plan.treatments[letter].name,
    })),
    pots: pots.map((pot) => ({ ...pot, coffee: coffee(pot.coffeeId) })),
    trays: trays.map((tray) => ({ ...tray, coffee: coffee(tray.coffeeId) })),
    commitment: sealed.commitment,
    // An early opening identifies cups; only unblinding publishes what proves the key.
    nonce: final ? (await secretsOf(deps.store, session.id)).nonceHex : null,
  });
}
