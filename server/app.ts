import fastifyCompress from "@fastify/compress";
import fastifyCookie from "@fastify/cookie";
import fastifyCsrf from "@fastify/csrf-protection";
import fastifyFormbody from "@fastify/formbody";
import fastifyHelmet from "@fastify/helmet";
import fastifyRateLimit from "@fastify/rate-limit";
import Fastify, { type FastifyInstance, type FastifyRequest } from "fastify";
import { serializerCompiler, validatorCompiler } from "fastify-type-provider-zod";
import { guardDoors } from "./access.ts";
import { api } from "./api/api.ts";
import { makeCalculations } from "./api/calculations.ts";
import { assets } from "./assets.ts";
import { bench } from "./bench/bench.ts";
import { methodsPage } from "./bench/methods.ts";
import type { Deps } from "./deps.ts";
import { answerErrors } from "./errors.ts";
import { frontDoor } from "./front-door.ts";
import { health } from "./health.ts";
import { afterwards } from "./lead/afterwards.ts";
import { amendment } from "./lead/amendment.ts";
import { brewImport } from "./lead/brew-import.ts";
import { brewRejection } from "./lead/brew-rejection.ts";
import { brews } from "./lead/brews.ts";
import { colleagueRemoval } from "./lead/colleague-removal.ts";
import { colleagues } from "./lead/colleagues.ts";
import { discarding } from "./lead/discarding.ts";
import { earlyKey } from "./lead/early-key.ts";
import { enter } from "./lead/enter.ts";
import { experimentDiscarding } from "./lead/experiment-discarding.ts";
import { importPanel } from "./lead/import-panel.ts";
import { incidents } from "./lead/incidents.ts";
import { openKey } from "./lead/key.ts";
import { lifecycle } from "./lead/lifecycle.ts";
import { links } from "./lead/links.ts";
import { panelSizePage } from "./lead/panel-size.ts";
import { parity } from "./lead/parity.ts";
import { plans } from "./lead/plans.ts";
import { pourings } from "./lead/pourings.ts";
import { rehearsal } from "./lead/rehearsal.ts";
import { makeRehearsals } from "./lead/rehearsals.ts";
import { room } from "./lead/room.ts";
import { sealPage } from "./lead/seal-page.ts";
import { sessions } from "./lead/sessions.ts";
import { signIn } from "./lead/sign-in.ts";
import { tasters } from "./lead/tasters.ts";
import { decoratePages } from "./page.ts";
import { commentsPage } from "./report/comments-page.ts";
import { evidencePages } from "./report/evidence-pages.ts";
import { report } from "./report/report.ts";
import { verifyPage } from "./report/verify-page.ts";
import { printedSheets } from "./sheets/printed.ts";
import { seatMoveOffer } from "./sheets/seat-move-offer.ts";
import { secondPersonSheets } from "./sheets/second-person.ts";
import { sheetPouring } from "./sheets/sheet-pouring.ts";
import { desk } from "./taster/desk.ts";
import { paper } from "./taster/paper.ts";
import { taster } from "./taster/taster.ts";
import { type TrustedProxies, trustOf } from "./trusted-proxies.ts";
import { water } from "./water/water.ts";

export interface AppOptions {
  logLevel: string;
  /** Where the log's lines go; to standard output unless it is given. */
  logTo?: { write(line: string): void };
  cookieSecret: string;
  /** Whose word on a visitor's address is taken; nobody's unless it is given. */
  trustedProxies?: TrustedProxies;
}

/** The whole program as a Fastify instance that nobody listens to yet. Doors in order of use. */
export async function buildApp(deps: Deps, options: AppOptions): Promise<FastifyInstance> {
  const app = Fastify({
    trustProxy: trustOf(options.trustedProxies ?? false),
    logger: {
      level: options.logLevel,
      serializers: { req: describeRequest },
      ...(options.logTo && { stream: options.logTo }),
    },
    bodyLimit: 1_048_576,
    forceCloseConnections: true,
  });
  app.setValidatorCompiler(validatorCompiler);
  app.setSerializerCompiler(serializerCompiler);
  await registerFoundations(app, options);
  guardDoors(app, deps);
  decoratePages(app, deps);
  answerErrors(app);
  await app.register(assets);
  await app.register(health(deps));
  await app.register(frontDoor(deps));
  await app.register(signIn(deps));
  await app.register(enter(deps));
  await app.register(colleagues(deps));
  await app.register(colleagueRemoval(deps));
  await app.register(plans(deps));
  await app.register(panelSizePage);
  const rehearsals = makeRehearsals();
  app.addHook("onClose", () => rehearsals.close());
  await app.register(rehearsal(deps, rehearsals));
  await app.register(sessions(deps));
  await app.register(importPanel(deps));
  await app.register(sealPage(deps));
  await app.register(amendment(deps));
  await app.register(discarding(deps));
  await app.register(experimentDiscarding(deps));
  await app.register(lifecycle(deps));
  await app.register(room(deps));
  await app.register(pourings(deps));
  await app.register(incidents(deps));
  await app.register(seatMoveOffer(deps));
  await app.register(desk(deps));
  await app.register(paper(deps));
  await app.register(earlyKey(deps));
  await app.register(openKey(deps));
  await app.register(afterwards(deps));
  await app.register(parity(deps));
  await app.register(brews(deps));
  await app.register(brewRejection(deps));
  await app.register(brewImport(deps));
  await app.register(links(deps));
  await app.register(tasters(deps));
  await app.register(taster(deps));
  await app.register(printedSheets(deps));
  await app.register(secondPersonSheets(deps));
  await app.register(sheetPouring(deps));
  await app.register(report(deps));
  await app.register(commentsPage(deps));
  await app.register(evidencePages(deps));
  await app.register(water(deps));
  await app.register(verifyPage);
  const calculations = makeCalculations();
  app.addHook("onClose", () => calculations.close());
  await app.register(bench(calculations));
  await app.register(methodsPage);
  await app.register(api(calculations));
  return app;
}

async function registerFoundations(app: FastifyInstance, options: AppOptions): Promise<void> {
  await app.register(fastifyCookie, { secret: options.cookieSecret });
  await app.register(fastifyCsrf, {
    cookieOpts: { httpOnly: true, sameSite: "lax", path: "/", signed: true },
  });
  await app.register(fastifyFormbody);
  await app.register(fastifyRateLimit, { global: false });
  await app.register(fastifyCompress, { threshold: 512 });
  await app.register(fastifyHelmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'none'"],
        scriptSrc: ["'self'"],
        styleSrc: ["'self'"],
        imgSrc: ["'self'", "data:"],
        connectSrc: ["'self'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
        baseUri: ["'none'"],
      },
    },
    // The room is reached over plain http: these would lock phones out.
    strictTransportSecurity: false,
    originAgentCluster: false,
    crossOriginOpenerPolicy: false,
  });
}

/** Logs say which route, never the address with its tokens, the name or the IP of a person. */
function describeRequest(request: FastifyRequest) {
  return { method: request.method, route: request.routeOptions?.url };
}
