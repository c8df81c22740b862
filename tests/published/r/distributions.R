# Reference values of the distributions, from base R:
#   Rscript tests/published/r/distributions.R
# writes one JSON file per distribution beside this script. Values are in the order of expand.grid over the axes,
# the first axis varying fastest; 17 significant digits; tails that leave the doubles are 0.
args <- commandArgs(FALSE)
here <- dirname(sub("--file=", "", grep("--file=", args, value = TRUE)))

number <- function(x) ifelse(is.finite(x), sprintf("%.17g", x), "null")
array <- function(x) paste0("[", paste(number(x), collapse = ","), "]")

fixture <- function(name, axes, columns) {
  grid <- expand.grid(axes, KEEP.OUT.ATTRS = FALSE)
  fields <- c(
    sprintf('"source":"R %s.%s, %s"', R.version$major, R.version$minor, "stats package (distributions.R)"),
    sprintf('"axes":{%s}', paste(sprintf('"%s":%s', names(axes), sapply(axes, array)), collapse = ",")),
    sprintf('"lines":{%s}', paste(sprintf('"%s":"%s"', names(columns), sapply(columns, function(e) deparse(e, 200))), collapse = ",")),
    sapply(names(columns), function(c) sprintf('"%s":%s', c, array(eval(columns[[c]], grid))))
  )
  writeLines(paste0("{", paste(fields, collapse = ",\n"), "}"), file.path(here, paste0(name, ".json")))
}

tail <- c(1e-300, 1e-200, 1e-100, 1e-50, 1e-20, 1e-12, 1e-8, 1e-5, 1e-4, .001, .005, .01, .02, .025, .05, .1, .15, .2, .25, .3, .4, .45, .5,
  .55, .6, .7, .75, .8, .9, .95, .975, .99, .995, .999, .9999, 1 - 1e-8)

fixture("normal", list(z = seq(-37, 37, length.out = 2961)),
  alist(lower = pnorm(z), upper = pnorm(z, lower.tail = FALSE), logLower = pnorm(z, log.p = TRUE)))
fixture("normal-quantile", list(p = c(10^-(seq(1, 300, length.out = 1500)), seq(.001, .999, .001))),
  alist(lower = qnorm(p)))
fixture("t", list(t = c(-1e4, -300, -60, -20, -8, -5, -3.5, -2.5, -2, -1.5, -1, -.5, -.1, -1e-3, -1e-9, 0, 1e-6, .01, .2, .7, 1.2, 1.7, 1.96, 2.3, 3, 4, 6.5, 10, 25, 37, 100, 1e3, 1e6),
  df = c(1, 1.5, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 15, 17, 19, 20, 23, 25, 29, 30, 35, 39, 40, 49, 59, 60, 79, 99, 120, 150, 199, 250, 400, 600, 999, 1500, 2000, 5000, 9999, 3e4, 1e5)),
  alist(lower = pt(t, df), upper = pt(t, df, lower.tail = FALSE)))
# qt of R is off by up to a percent at 1e-200 and beyond for few df (the power law of the tail shows it).
fixture("t-quantile", list(q = tail[tail >= 1e-100],
  df = c(1, 1.5, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 14, 15, 17, 19, 20, 23, 25, 29, 30, 35, 39, 40, 49, 59, 60, 79, 99, 120, 150, 199, 250, 400, 600, 999, 1500, 2000, 5000, 9999, 3e4, 1e5)),
  alist(upper = qt(q, df, lower.tail = FALSE)))
fixture("chi-square", list(ratio = c(1e-6, 1e-4, .01, .05, .1, .2, .3, .4, .5, .6, .7, .8, .85, .9, .95, .98, 1, 1.02, 1.05, 1.1, 1.15, 1.2, 1.3, 1.5, 1.75, 2, 2.5, 3, 4, 6, 10, 20, 50, 200),
  df = c(1, 1.5, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 15, 17, 20, 23, 25, 30, 35, 40, 50, 60, 75, 100, 150, 200, 300, 500, 700, 1000, 1400, 2000, 5000, 1e4, 1e5)),
  alist(lower = pchisq(ratio * df, df), upper = pchisq(ratio * df, df, lower.tail = FALSE)))
fixture("chi-square-quantile", list(p = tail,
  df = c(1, 1.5, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12, 15, 20, 25, 30, 40, 50, 75, 100, 150, 200, 500, 1000, 2000, 5000, 1e4, 1e5)),
  alist(lower = qchisq(p, df), upper = qchisq(p, df, lower.tail = FALSE)))
fixture("f", list(f = c(1e-8, 1e-4, .01, .05, .1, .3, .5, .7, .9, 1, 1.1, 1.3, 1.7, 2, 2.5, 3.2, 4.1, 5.5, 8, 12, 20.6, 50, 120, 949, 1e4, 1e6),
  df1 = c(1, 2, 3, 4, 5, 7, 10, 15, 24, 60, 200, 2000), df2 = c(1, 2, 3, 5, 8, 12, 20, 40, 120, 1000, 1e4)),
  alist(lower = pf(f, df1, df2), upper = pf(f, df1, df2, lower.tail = FALSE)))
# qf of R is 1/qbeta - 1 and cancels where F is small: only upper points, as tables have them.
fixture("f-quantile", list(q = tail[tail <= .6], df1 = c(1, 2, 3, 4, 6, 10, 24, 60, 500), df2 = c(1, 2, 3, 5, 8, 12, 30, 120, 1000)),
  alist(upper = qf(q, df1, df2, lower.tail = FALSE)))
fixture("beta", list(x = c(1e-12, 1e-6, .001, .01, .05, .1, .2, .25, 1/3, .4, .5, .6, 2/3, .75, .8, .9, .95, .99, .999, 1 - 1e-6),
  a = c(.5, 1, 1.5, 2, 3, 5, 8, 13, 21, 50, 100, 400, 2000, 30000), b = c(.5, 1, 2, 4, 7, 12, 20, 30, 80, 300, 1500, 60000)),
  alist(lower = pbeta(x, a, b), upper = pbeta(x, a, b, lower.tail = FALSE)))
fixture("beta-quantile", list(p = tail, a = c(.5, 1, 2, 3, 5, 9, 16, 30, 80, 300, 2000), b = c(.5, 1, 2, 4, 7, 12, 25, 60, 150, 1000)),
  alist(lower = qbeta(p, a, b), upper = qbeta(p, a, b, lower.tail = FALSE)))
fixture("binomial", list(share = seq(0, 1, .04), n = c(1, 2, 3, 5, 8, 10, 12, 20, 24, 36, 50, 51, 60, 78, 100, 150, 240, 500, 1000, 3000, 1e4, 1e5),
  p = c(.001, .05, .2, 1/3, .4, .5, .6, 2/3, .75, .99)),
  alist(lower = pbinom(round(share * n), n, p), upper = pbinom(round(share * n) - 1, n, p, lower.tail = FALSE), probability = dbinom(round(share * n), n, p)))
fixture("binomial-quantile", list(p = c(1.3e-20, 1.7e-12, 1.1e-8, 2.3e-5, 1.2e-4, .0013, .0049, .0113, .019, .0271, .047, .06, .11, .16, .19, .23, .27, .31, .42, .47, .52, .58, .63, .73, .77, .83, .93, .961, .981, .9931, .9987, .99973), n = c(1, 2, 5, 8, 12, 20, 36, 51, 60, 100, 240, 1000, 1e4, 1e5), success = c(.01, .2, 1/3, .45, .55, 2/3, .9)),
  alist(lower = qbinom(p, n, success), upper = qbinom(p, n, success, lower.tail = FALSE)))
