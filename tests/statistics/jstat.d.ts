/** The part of jstat whose accuracy is stated by a test. */
declare module "jstat" {
  export const jStat: {
    binomial: { cdf(x: number, n: number, p: number): number };
    normal: { cdf(x: number, mean: number, sd: number): number };
    studentt: { cdf(x: number, df: number): number };
    noncentralt: { cdf(x: number, df: number, ncp: number): number };
  };
}
