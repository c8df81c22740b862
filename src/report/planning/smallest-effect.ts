/** The smallest of the whole percents `step`, 2 `step`, … under 100 that is enough; null when none is. */
export function smallestShare(isEnough: (share: number) => boolean, step = 1): number | null {
  for (let percent = step; percent < 100; percent += step) {
    if (isEnough(percent / 100)) return percent / 100;
  }
  return null;
}

/**
 * The smallest difference in points that is enough, by bisection between nothing and ten standard
 * deviations; null when even that isn't.
 */
export function smallestPoints(isEnough: (points: number) => boolean, sd: number): number | null {
  let [below, above] = [0, 10 * sd];
  if (!isEnough(above)) return null;
  for (let step = 0; step < 40; step += 1) {
    const middle = (below + above) / 2;
    if (isEnough(middle)) above = middle;
    else below = middle;
  }
  return above;
}
