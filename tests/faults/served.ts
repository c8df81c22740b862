import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";

/** The built program serving a data file in a process of its own, that a test may kill. */
export interface Served {
  origin: string;
  /** SIGKILL: no farewell, as when the plug is pulled. */
  kill(): Promise<void>;
  stop(): Promise<void>;
}

/** Starts the built program on a loopback port; fails when it says anything but that it serves. */
export async function serve(dataFile: string, port: number): Promise<Served> {
  const args = ["dist/server/cli.js", "serve", "--data", dataFile];
  const child = spawn(process.execPath, [
    ...args,
    "--address",
    "127.0.0.1",
    "--port",
    String(port),
  ]);
  const origin = await saidOrigin(child);
  const end = async (signal: NodeJS.Signals) => {
    const gone = once(child, "exit");
    child.kill(signal);
    await gone;
  };
  return { origin, kill: () => end("SIGKILL"), stop: () => end("SIGTERM") };
}

async function saidOrigin(child: ChildProcess): Promise<string> {
  let said = "";
  return await new Promise((resolve, reject) => {
    const listen = (chunk: Buffer) => {
      said += chunk.toString();
      const origin = /at (http:\/\/127\.0\.0\.1:\d+)/.exec(said)?.[1];
      if (origin !== undefined) resolve(origin);
    };
    child.stdout?.on("data", listen);
    child.stderr?.on("data", listen);
    child.once("exit", () => reject(new Error(`The server ended: ${said}`)));
  });
}
