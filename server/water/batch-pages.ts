import type { FastifyPluginAsync, FastifyReply, FastifyRequest } from "fastify";
import { leadIn } from "../access.ts";
import { type Deps, newToken, now } from "../deps.ts";
import { notFound, sendRefusal } from "../errors.ts";
import { errorSummary, type FieldErrors, formOf, type RawForm, textOf } from "../form.ts";
import {
  addBatch,
  addReading,
  batchById,
  listBatches,
  type RecordedBatch,
} from "../store/water-batches.ts";
import { matchById } from "../store/waters.ts";
import { readBatch } from "./batch-draft.ts";
import { batchForm, freshBatch } from "./batch-form.ts";
import { batchLine, batchView } from "./batch-view.ts";
import { emptyReading, readingFields, readReading } from "./reading-draft.ts";

type BatchRoute = { Params: { batchId: string } };

/** Batches of water as made: recorded once, measured as often as wished, compared with what was weighed. */
export function batchPages(deps: Deps): FastifyPluginAsync {
  return async (app) => {
    const config = { access: "lead" as const };
    const checked = { config, preHandler: app.csrfProtection };
    app.get("/lead/water/batches", { config }, async (_request, reply) => {
      const batches = await listBatches(deps.store);
      return reply.page("water/batches", {
        title: "Water batches",
        stylesheet: "water.css",
        batches: batches.map(batchLine),
      });
    });
    app.get("/lead/water/batches/new", { config }, async (request, reply) => {
      const query = formOf(request.query);
      const match = await matchById(deps.store, textOf(query, "match"));
      const values = freshBatch(now(deps), leadIn(request).name, match, textOf(query, "what"));
      return await showForm(deps, reply, { ...values, match: match?.id ?? "" }, {});
    });
    app.post("/lead/water/batches/new", checked, (request, reply) =>
      recordBatch(deps, request, reply),
    );
    app.get<BatchRoute>("/lead/water/batches/:batchId", { config }, async (request, reply) => {
      const batch = await batchById(deps.store, request.params.batchId);
      if (batch === undefined) return sendRefusal(request, reply, notFound);
      return showBatch(reply, batch, { ...emptyReading, measured: "conductivity" }, {});
    });
    app.post<BatchRoute>("/lead/water/batches/:batchId/readings", checked, (request, reply) =>
      recordReading(deps, request, reply),
    );
  };
}

async function recordBatch(
  deps: Deps,
  request: FastifyRequest,
  reply: FastifyReply,
): Promise<FastifyReply> {
  const form = formOf(request.body);
  const batch = readBatch(form, await listBatches(deps.store));
  const reading = readReading(form);
  if (!batch.ok || !reading.ok) {
    reply.code(422);
    const errors = { ...(batch.ok ? {} : batch.errors), ...(reading.ok ? {} : reading.errors) };
    return await showForm(deps, reply, form, errors);
  }
  const recipeId = (await matchById(deps.store, textOf(form, "match")))?.id ?? null;
  const [id, at, recordedBy] = [newToken(deps), now(deps), leadIn(request).id];
  const { madeAt: readAt, madeBy: readBy } = batch.entry;
  await deps.store.transaction().execute(async (trx) => {
    await addBatch(trx, { ...batch.entry, id, recipeId, recordedBy, at });
    if (reading.reading === null) return;
    const taken = { reading: reading.reading, readAt, readBy, at };
    await addReading(trx, { ...taken, id: newToken(deps), batchId: id });
  });
  return await reply.redirect(`/lead/water/batches/${id}`, 303);
}

async function recordReading(
  deps: Deps,
  request: FastifyRequest<BatchRoute>,
  reply: FastifyReply,
): Promise<FastifyReply> {
  const batch = await batchById(deps.store, request.params.batchId);
  if (batch === undefined) return sendRefusal(request, reply, notFound);
  const form = formOf(request.body);
  const read = readReading(form);
  if (!read.ok || read.reading === null) {
    reply.code(422);
    const nothing = { measured: "Choose what was measured from the list." };
    return showBatch(reply, batch, form, read.ok ? nothing : read.errors);
  }
  const at = now(deps);
  const taken = { reading: read.reading, readAt: at, readBy: leadIn(request).name, at };
  await deps.store
    .transaction()
    .execute((trx) => addReading(trx, { ...taken, id: newToken(deps), batchId: batch.id }));
  return await reply.redirect(`/lead/water/batches/${batch.id}`, 303);
}

async function showForm(
  deps: Deps,
  reply: FastifyReply,
  values: RawForm,
  errors: FieldErrors,
): Promise<FastifyReply> {
  const match = await matchById(deps.store, textOf(values, "match"));
  return reply.page("water/batch-new", {
    title: "Record a batch",
    stylesheet: "water.css",
    match: match ?? null,
    form: batchForm(values, errors, await listBatches(deps.store)),
  });
}

function showBatch(
  reply: FastifyReply,
  batch: RecordedBatch,
  values: RawForm,
  errors: FieldErrors,
): FastifyReply {
  return reply.page("water/batch", {
    title: batch.label,
    stylesheet: "water.css",
    batch: batchView(batch),
    form: { errors: errorSummary(errors) },
    reading: readingFields(values, errors),
  });
}
