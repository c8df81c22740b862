/** A simulated phone over real HTTP: its own cookies, one connection pool, no browser. */
export class Phone {
  private readonly cookies = new Map<string, string>();
  private csrf = "";
  private readonly origin: () => string;

  /** @param origin where the server is now; it may move between requests. */
  constructor(origin: () => string) {
    this.origin = origin;
  }

  async get(path: string): Promise<{ status: number; body: string }> {
    return await this.send(path, {});
  }

  async post(
    path: string,
    form: Record<string, string>,
    accept = "text/html",
  ): Promise<{ status: number; body: string }> {
    const body = new URLSearchParams({ _csrf: this.csrf, ...form });
    return await this.send(path, { method: "POST", body, headers: { accept } });
  }

  private async send(path: string, init: RequestInit): Promise<{ status: number; body: string }> {
    const headers = new Headers(init.headers);
    headers.set("cookie", [...this.cookies].map(([name, value]) => `${name}=${value}`).join("; "));
    const response = await fetch(this.origin() + path, { ...init, headers, redirect: "manual" });
    for (const cookie of response.headers.getSetCookie()) {
      const [pair = ""] = cookie.split(";");
      this.cookies.set(pair.slice(0, pair.indexOf("=")), pair.slice(pair.indexOf("=") + 1));
    }
    const body = await response.text();
    const token = /name="_csrf" value="([^"]+)"/.exec(body)?.[1];
    if (token !== undefined) this.csrf = token;
    return { status: response.status, body };
  }
}
