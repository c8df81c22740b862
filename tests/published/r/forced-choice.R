# Reference values of the exact binomial test and its intervals, from base R:
#   Rscript tests/published/r/forced-choice.R
# One point per combination of the axes, the first axis fastest; 17 significant digits.
args <- commandArgs(FALSE)
here <- dirname(sub("--file=", "", grep("--file=", args, value = TRUE)))
number <- function(x) ifelse(is.finite(x), sprintf("%.17g", x), "null")
array <- function(x) paste0("[", paste(number(x), collapse = ","), "]")

axes <- list(share = seq(0, 1, .05), n = c(1, 2, 3, 5, 8, 12, 20, 24, 36, 48, 60, 66, 78, 100, 240, 1000),
  p0 = c(1/3, 1/2), confidence = c(.8, .95, .999))
grid <- expand.grid(axes, KEEP.OUT.ATTRS = FALSE)
x <- floor(grid$share * grid$n + 1e-9)
exact <- mapply(function(x, n, p0, level) {
  interval <- binom.test(x, n, p0, conf.level = level)$conf.int
  above <- binom.test(x, n, p0, alternative = "greater", conf.level = level)
  c(above$p.value, interval, above$conf.int[1])
}, x, grid$n, grid$p0, grid$confidence)
score <- mapply(function(x, n, level) prop.test(x, n, conf.level = level, correct = FALSE)$conf.int, x, grid$n, grid$confidence)
columns <- list(pValue = exact[1, ], lower = exact[2, ], upper = exact[3, ], oneSidedLower = exact[4, ],
  wilsonLower = score[1, ], wilsonUpper = score[2, ])
lines <- c(pValue = "binom.test(x, n, p0, 'greater')$p.value", lower = "binom.test(x, n, p0, conf.level)$conf.int[1]",
  upper = "binom.test(x, n, p0, conf.level)$conf.int[2]", oneSidedLower = "binom.test(x, n, p0, 'greater', conf.level)$conf.int[1]",
  wilsonLower = "prop.test(x, n, conf.level, correct = FALSE)$conf.int[1]", wilsonUpper = "prop.test(x, n, conf.level, correct = FALSE)$conf.int[2]")
fields <- c(
  sprintf('"source":"R %s.%s, stats package (forced-choice.R)"', R.version$major, R.version$minor),
  sprintf('"axes":{%s}', paste(sprintf('"%s":%s', names(axes), sapply(axes, array)), collapse = ",")),
  sprintf('"lines":{%s}', paste(sprintf('"%s":"%s"', names(lines), lines), collapse = ",")),
  sprintf('"%s":%s', names(columns), sapply(columns, array)))
writeLines(paste0("{", paste(fields, collapse = ",\n"), "}"), file.path(here, "forced-choice.json"))
