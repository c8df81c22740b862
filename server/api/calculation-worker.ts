import { parentPort } from "node:worker_threads";
import { answerText, findCalculator, statusOf } from "./answer.ts";
import { questionSchema, type Reply } from "./calculation-messages.ts";

if (parentPort === null) throw new Error("This file runs as a worker only");
const port = parentPort;

port.on("message", (message: unknown) => {
  const { name, text } = questionSchema.parse(message);
  const found = findCalculator(name);
  const answer = found.ok ? answerText(found.calculator, text) : found;
  const status = answer.ok ? 200 : statusOf[answer.body.error.code];
  const json = JSON.stringify(answer.ok ? answer.output : answer.body);
  port.postMessage({ status, json } satisfies Reply);
});
