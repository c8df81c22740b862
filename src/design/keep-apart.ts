import { below, pick, type RandomSource, shuffle } from "./random.ts";

/**
 * The items in random order with as few neighbours of one sort as can be. Items of one sort are
 * exchangeable: each is equally likely in each of the sort's places.
 */
export function keepApart<Item>(
  items: readonly Item[],
  sortOf: (item: Item) => string,
  random: RandomSource,
): Item[] {
  const bySort = new Map<string, Item[]>();
  for (const item of shuffle(random, items)) {
    bySort.set(sortOf(item), [...(bySort.get(sortOf(item)) ?? []), item]);
  }
  const ordered: Item[] = [];
  let last: string | undefined;
  while (ordered.length < items.length) {
    last = nextSort(bySort, last, random);
    ordered.push(...(bySort.get(last)?.splice(0, 1) ?? []));
  }
  return ordered;
}

/** A sort that costs fewest like neighbours from here on, the more of it is left the likelier. */
function nextSort(
  bySort: ReadonlyMap<string, readonly unknown[]>,
  last: string | undefined,
  random: RandomSource,
): string {
  const left = [...bySort].filter(([, items]) => items.length > 0);
  const costs = left.map(([sort]) => Number(sort === last) + unavoidable(left, sort));
  const least = Math.min(...costs);
  const tickets = left
    .filter((_, at) => costs[at] === least)
    .flatMap(([sort, items]) => items.map(() => sort));
  return pick(tickets, below(random, tickets.length));
}

/** Like neighbours that nothing can prevent once an item of the sort is placed. */
function unavoidable(
  left: readonly (readonly [string, readonly unknown[]])[],
  placed: string,
): number {
  const total = left.reduce((sum, [, items]) => sum + items.length, -1);
  const excess = left.map(([sort, items]) => {
    // The placed item itself stands before the rest of its sort, so these need one separator each.
    const inNeed = items.length - 1;
    const separators = sort === placed ? total - inNeed : total - items.length;
    return inNeed - separators;
  });
  return Math.max(0, ...excess);
}
