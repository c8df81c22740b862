import fastifySwagger from "@fastify/swagger";
import fastifySwaggerUi from "@fastify/swagger-ui";
import type { FastifyInstance } from "fastify";
import { jsonSchemaTransform } from "fastify-type-provider-zod";

/** Its scripts and styles are files of our own host; React sets styles through the object model. */
const docsPolicy = {
  "default-src": "'none'",
  "script-src": "'self'",
  "style-src": "'self'",
  "img-src": ["'self'", "data:"],
  "connect-src": "'self'",
  "form-action": "'self'",
  "frame-ancestors": "'none'",
  "base-uri": "'none'",
};

/** Two equal cups: the page's own mark instead of the library's. */
const mark =
  '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16"><path fill="#1f5c57" d="M1 4h6v6a3 3 0 0 1-6 0zM9 4h6v6a3 3 0 0 1-6 0z"/></svg>';
const icon = { type: "image/svg+xml", content: mark };

/** Collects every later route of this scope into OpenAPI 3.1, shown at `/api/docs`. */
export async function documentDoors(app: FastifyInstance): Promise<void> {
  await app.register(fastifySwagger, {
    openapi: {
      openapi: "3.1.0",
      info: {
        title: "Evenpour calculators",
        version: "1",
        description:
          "Pure calculations for tastings, water and brews. They keep nothing and know nothing of any session.",
      },
      servers: [{ url: "/" }],
      tags: [
        { name: "list", description: "What there is" },
        { name: "calculators", description: "One door each" },
      ],
    },
    transform: jsonSchemaTransform,
  });
  await app.register(fastifySwaggerUi, {
    routePrefix: "/api/docs",
    staticCSP: docsPolicy,
    logo: icon,
    theme: {
      title: "Evenpour API",
      favicon: [{ filename: "mark.svg", rel: "icon", sizes: "any", ...icon }],
    },
    uiConfig: {
      // Without the bar of the library's own name, which also brings an inline style.
      layout: "BaseLayout",
      validatorUrl: null,
      docExpansion: "list",
      tryItOutEnabled: true,
    },
  });
  app.get("/api/openapi.json", { config: { access: "anyone" }, schema: { hide: true } }, async () =>
    app.swagger(),
  );
}
