import { readdirSync, readFileSync } from "node:fs";
import { join, relative } from "node:path";
import { HtmlValidate } from "html-validate";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { makeInvitation } from "../../server/lead/invitation.ts";
import { templatesFolder } from "../../server/render.ts";
import { calculators } from "../../src/calculators/registry.ts";
import { incidentKinds } from "../../src/experiment/incident.ts";
import { type House, openHouse, type Visitor } from "../app.ts";
import { closeSession, openSession, sealedSession, unblindSession } from "../sealed-session.ts";
import { joined } from "../server/taster-sitting.ts";

const templates = readdirSync(templatesFolder, { recursive: true, encoding: "utf8" })
  .filter((name) => name.endsWith(".hbs"))
  .map((name) => ({ name, text: readFileSync(join(templatesFolder, name), "utf8") }));

/** What a template must not hold, and why. */
const forbidden: [string, RegExp][] = [
  ["unescaped output: a name could carry markup", /\{\{\{|\{\{&/],
  ["an inline style: the policy blocks it", /<style|\sstyle=/i],
  ["an inline script: the policy blocks it", /<script(?![^>]*\ssrc=)|\son[a-z]+="|javascript:/i],
  ["something from another host", /(?:src|href|action)="(?:https?:)?\/\//i],
  ["logic beyond if and each", /\{\{#(?!if |each |> )|\{\{else if/],
];

describe("Templates", () => {
  it("hold no logic, no unescaped output and nothing that the page's policy would block", () => {
    expect(templates.length).toBeGreaterThan(10);
    expect(templates.flatMap(({ name, text }) => faultsIn(name, text))).toEqual([]);
  });

  it("would be caught if they did", () => {
    const planted = [
      "{{{name}}}",
      '<p style="color:red">',
      "<script>go()</script>",
      '<button onclick="go()">',
      '<img src="//example.org/a.png">',
      "{{#unless a}}b{{/unless}}",
    ];
    for (const text of planted) expect([text, faultsIn("planted", text).length]).toEqual([text, 1]);
    expect(
      faultsIn("fine", '<script src="/assets/room.js" defer></script>{{#if a}}b{{/if}}'),
    ).toEqual([]);
  });
});

describe("Rendered pages", () => {
  let house: House;
  let lead: Visitor;
  beforeAll(async () => {
    house = await openHouse();
    lead = await house.signedInLead();
  });
  afterAll(() => house.close());

  const faultsAt = async (visitor: Visitor, urls: string[]) => {
    const faults: string[] = [];
    for (const url of urls) {
      const answer = await visitor.get(url);
      expect([url, answer.headers["content-type"]]).toEqual([url, "text/html; charset=utf-8"]);
      faults.push(...(await htmlFaults(url, answer.body)));
    }
    return faults;
  };

  it("are valid HTML for whoever comes by", async () => {
    const invitation = await makeInvitation(house.deps, { purpose: "set-up", leadId: null });
    const benches = [...calculators.keys()].map((name) => `/bench/${name}`);
    const urls = [
      "/sign-in",
      `/enter/${invitation}`,
      "/join",
      "/no-such-page",
      "/bench",
      ...benches,
      "/bench/discrimination-test?method=triangle&assessments=12&correct=8",
      "/bench/describe?values=x",
    ];
    expect(await faultsAt(house.visitor(), urls)).toEqual([]);
  });

  it("are valid HTML for a lead, from a new plan to the opened key", async () => {
    expect(await faultsAt(lead, ["/lead", "/lead/colleagues", "/lead/experiments/new"])).toEqual(
      [],
    );
    const fixture = await openSession(house, { serving: { windowMinutes: 20 } });
    const session = `/lead/sessions/${fixture.sessionId}`;
    await lead.get(`${session}/room`);
    await lead.post(`${session}/pourings`, { round: "1", known: "0" });
    const { body: room } = await lead.get(`${session}/room`);
    const pouring = /href="([^"]+\/pourings\/\d+)"/.exec(room)?.[1] ?? "";
    const pages = [pouring, session, `${session}/brews`, `${session}/links`, `${session}/room`];
    pages.push(
      ...incidentKinds
        .filter((kind) => kind !== "resume")
        .map((kind) => `${session}/incidents/${kind}`),
    );
    pages.push(`${session}/seat-move`, `${session}/desk`, `${session}/paper`);
    const experiment = `/lead/experiments/${fixture.experimentId}`;
    expect(await faultsAt(lead, [experiment, ...pages])).toEqual([]);
    expect(await faultsAt(house.visitor(), [`/join/${fixture.joinCode}`])).toEqual([]);
    await closeSession(house, fixture);
    await unblindSession(house, fixture);
    const afterwards = ["key", "afterwards", "report", "report/report.html", "comments"];
    const opened = afterwards.map((page) => `${session}/${page}`);
    expect(await faultsAt(lead, [session, ...opened, `${experiment}/import`])).toEqual([]);
  });

  it("are valid HTML on paper, and where a plan is amended or a name erased", async () => {
    const waiting = await sealedSession(house);
    const session = `/lead/sessions/${waiting.sessionId}`;
    await joined(house, waiting);
    const sheets = ["labels", "trays", "spares", "cards", "ballots", "poster"];
    const pages = [
      ...sheets.map((name) => `${session}/sheets/${name}`),
      `${session}/sheets/ballots?language=all`,
      `${session}/amendment`,
      `${session}/tasters`,
      `${session}/tasters/1/erasure`,
    ];
    expect(await faultsAt(lead, pages)).toEqual([]);
    const open = await openSession(house, { serving: { palateRestSeconds: 45 } });
    const taster = await joined(house, open);
    expect(await faultsAt(taster, ["/taste", "/taste/data", "/taste/stop"])).toEqual([]);
  });

  it("would be caught if they were not", async () => {
    expect(await htmlFaults("planted", '<p id="a"><p id="a"><div></p>')).not.toEqual([]);
  });
});

const validator = new HtmlValidate({
  extends: ["html-validate:standard"],
  rules: {
    // Handlebars leaves spaces and empty lines, and void elements need no slash.
    "no-trailing-whitespace": "off",
    "void-style": "off",
    "attr-quotes": "off",
  },
});

async function htmlFaults(url: string, html: string): Promise<string[]> {
  const report = await validator.validateString(html);
  return report.results.flatMap(({ messages }) =>
    messages.map(({ ruleId, message, line }) => `${url}:${line} ${ruleId}: ${message}`),
  );
}

function faultsIn(name: string, text: string): string[] {
  return forbidden
    .filter(([, pattern]) => pattern.test(text))
    .map(([fault]) => `${relative(".", name)} holds ${fault}`);
}
