import type { BrowserContext, Page } from "playwright-core";

/** A taster who has joined a session on a phone of their own. */
export async function joinOnPhone(
  phone: BrowserContext,
  origin: string,
  joinCode: string,
  name = "Q. R.",
): Promise<Page> {
  const page = await phone.newPage();
  await page.goto(`${origin}/join/${joinCode}?language=en`);
  await page.getByLabel("Your name or initials").fill(name);
  await page.getByLabel("I have read this").check();
  await page.getByRole("button", { name: "Join" }).click();
  await page.waitForURL("**/taste");
  return page;
}

/** Fills in the set in view: a tile of every choice by place, a number for every cup. */
export async function fillSet(page: Page, place = 0): Promise<void> {
  for (const tiles of await page.locator(".tiles:visible").all()) {
    await tiles.getByRole("radio").nth(place).check();
  }
  for (const number of await page.locator(".score input[name]:visible").all()) {
    await number.fill("40");
  }
}

export async function lockSet(page: Page): Promise<void> {
  await page.getByRole("button", { name: "Look once more" }).click();
  await page.getByRole("button", { name: "Lock and go on" }).click();
}

/** Which set is in view, as its heading says. */
export async function headingOf(page: Page): Promise<string> {
  return (await page.locator("h1:visible").first().textContent()) ?? "";
}
