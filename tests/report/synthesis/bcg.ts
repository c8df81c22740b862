/**
 * The BCG vaccine trials: log risk ratio and its variance from the counts of Colditz et al. (1994) as
 * given by Viechtbauer (2010), J. Stat. Software 36(3), with each trial's latitude and year.
 */
const trials = [
  // tuberculosis and not, vaccinated; the same, controls; absolute latitude; year
  [4, 119, 11, 128, 44, 1948],
  [6, 300, 29, 274, 55, 1949],
  [3, 228, 11, 209, 42, 1960],
  [62, 13536, 248, 12619, 52, 1977],
  [33, 5036, 47, 5761, 13, 1973],
  [180, 1361, 372, 1079, 44, 1953],
  [8, 2537, 10, 619, 19, 1973],
  [505, 87886, 499, 87892, 13, 1980],
  [29, 7470, 45, 7232, 27, 1968],
  [17, 1699, 65, 1600, 42, 1961],
  [186, 50448, 141, 27197, 18, 1974],
  [5, 2493, 3, 2338, 33, 1969],
  [27, 16886, 29, 17825, 33, 1976],
] as const;

export const bcg = trials.map(([ill, well, controlIll, controlWell, latitude, year], i) => {
  const [vaccinated, controls] = [ill + well, controlIll + controlWell];
  return {
    label: `Trial ${i + 1}`,
    answers: vaccinated + controls,
    effect: Math.log(ill / vaccinated / (controlIll / controls)),
    variance: 1 / ill - 1 / vaccinated + 1 / controlIll - 1 / controls,
    latitude,
    year,
  };
});
