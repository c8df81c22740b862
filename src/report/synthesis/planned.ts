/** When a session's plan was fixed, and when its result could first be known. */
export interface SessionTimes {
  sealedAt: string;
  unblindedAt: string;
}

/**
 * Whether combining sessions was free to depend on what they showed. Sessions all sealed before the
 * first key was opened could not be added because of a result; `afterResult` counts those that could.
 */
export function combinedAsPlanned(sessions: readonly SessionTimes[]): {
  planned: boolean;
  afterResult: number;
} {
  const firstResult = Math.min(...sessions.map(({ unblindedAt }) => Date.parse(unblindedAt)));
  const afterResult = sessions.filter(({ sealedAt }) => Date.parse(sealedAt) >= firstResult).length;
  return { planned: afterResult === 0, afterResult };
}
