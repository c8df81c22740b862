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
    theme: { title: "Evenpour API" },
    uiConfig: { validatorUrl: null, docExpansion: "list", tryItOutEnabled: true },
  });
  app.get("/api/openapi.json", { config: { access: "anyone" }, schema: { hide: true } }, async () =>
    app.swagger(),
  );
}
