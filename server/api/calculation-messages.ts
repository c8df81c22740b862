import { z } from "zod";

/** What the server asks its calculating thread: a calculator's name and the JSON text of its input. */
export const questionSchema = z.object({ name: z.string(), text: z.string() });

/** What the thread answers: an HTTP status and the JSON text of an output (200) or an error body. */
export const replySchema = z.object({ status: z.number(), json: z.string() });
export type Reply = z.output<typeof replySchema>;
