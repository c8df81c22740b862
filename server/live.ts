import { EventEmitter } from "node:events";

/** Tells the lead's pages that something in a session changed; carries no answer and no treatment. */
export interface Live {
  changed(sessionId: string): void;
  /** Calls `listener` at every change until the returned function is called. */
  follow(sessionId: string, listener: () => void): () => void;
}

/** One process's announcements, kept in memory. */
export function makeLive(): Live {
  const emitter = new EventEmitter();
  emitter.setMaxListeners(0);
  return {
    changed: (sessionId) => {
      emitter.emit(sessionId);
    },
    follow: (sessionId, listener) => {
      emitter.on(sessionId, listener);
      return () => emitter.off(sessionId, listener);
    },
  };
}
