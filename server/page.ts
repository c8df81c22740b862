import type { FastifyInstance, FastifyReply } from "fastify";
import { type Deps, overHttps } from "./deps.ts";

declare module "fastify" {
  interface FastifyReply {
    /** Sends a rendered page with the fields that every layout needs. */
    page(template: string, fields: PageFields): FastifyReply;
  }
}

/** What every page gives: its title, and whatever its template names. */
export type PageFields = { title: string } & Record<string, unknown>;

/** Adds `reply.page`: renders a template with title, language, the signed-in lead and a CSRF token. */
export function decoratePages(app: FastifyInstance, deps: Deps): void {
  app.decorateReply("page", function page(this: FastifyReply, template, fields) {
    const html = deps.render(template, {
      language: "en",
      leadName: this.request.lead?.name ?? null,
      csrf: this.generateCsrf({ secure: overHttps(deps) }),
      ...fields,
    });
    return this.type("text/html; charset=utf-8").header("cache-control", "no-store").send(html);
  });
}
