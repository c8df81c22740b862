import type { FastifyInstance, LightMyRequestResponse } from "fastify";

/** Sends requests as one browser would: keeps cookies, and puts the last form's token on posts. */
export class Visitor {
  readonly cookies = new Map<string, string>();
  private csrf = "";
  private readonly app: FastifyInstance;

  constructor(app: FastifyInstance) {
    this.app = app;
  }

  async get(url: string, headers: Record<string, string> = {}): Promise<LightMyRequestResponse> {
    const response = await this.app.inject({
      method: "GET",
      url,
      headers: { ...headers, cookie: this.cookie() },
    });
    return this.keep(response);
  }

  /** Posts a form; repeated names are given as arrays. Redirects are not followed. */
  async post(
    url: string,
    form: Record<string, string | string[]>,
  ): Promise<LightMyRequestResponse> {
    const payload = new URLSearchParams();
    for (const [name, value] of Object.entries({ _csrf: this.csrf, ...form })) {
      for (const one of Array.isArray(value) ? value : [value]) payload.append(name, one);
    }
    const headers = { "content-type": "application/x-www-form-urlencoded", cookie: this.cookie() };
    const response = await this.app.inject({
      method: "POST",
      url,
      headers,
      payload: payload.toString(),
    });
    return this.keep(response);
  }

  private cookie(): string {
    return [...this.cookies]
      .map(([name, value]) => `${name}=${encodeURIComponent(value)}`)
      .join("; ");
  }

  private keep(response: LightMyRequestResponse): LightMyRequestResponse {
    for (const cookie of response.cookies) this.cookies.set(cookie.name, cookie.value);
    const token = /name="_csrf" value="([^"]+)"/.exec(response.body);
    if (token?.[1] !== undefined) this.csrf = token[1];
    return response;
  }
}
