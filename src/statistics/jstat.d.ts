/** The part of jstat that is used, or whose inaccuracy a test states; it comes without types. */
declare module "jstat" {
  /** A CommonJS module: Node gives its exports as the default. */
  const library: {
    jStat: {
      binomial: { cdf(x: number, n: number, p: number): number };
      normal: {
        pdf(x: number, mean: number, sd: number): number;
        cdf(x: number, mean: number, sd: number): number;
      };
      studentt: { cdf(x: number, df: number): number };
      noncentralt: { cdf(x: number, df: number, ncp: number): number };
    };
  };
  export default library;
}
