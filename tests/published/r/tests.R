# Reference values of the tests on samples, from base R:
#   Rscript tests/published/r/tests.R
# writes tests.json beside this script: random small samples on decimal grids, with t.test, all sign assignments
# enumerated for the mean and for the midranks, binom.test, psignrank, p.adjust, friedman.test, aov, prop.test,
# quantile and power.t.test.
args <- commandArgs(FALSE)
here <- dirname(sub("--file=", "", grep("--file=", args, value = TRUE)))
set.seed(20250101)

number <- function(x) ifelse(is.finite(x), sprintf("%.16g", x), "null")
array <- function(x) paste0("[", paste(number(x), collapse = ","), "]")
rows <- function(cases) paste0("[", paste(sapply(cases, function(parts)
  paste0("[", paste(sapply(parts, array), collapse = ","), "]")), collapse = ",\n"), "]")
alternatives <- c("two.sided", "greater", "less")

paired <- function(i) {
  n <- sample(2:11, 1)
  step <- sample(c(1, .5, .1, .25), 1)
  d <- round(sample(-8:11, n, replace = TRUE) * step, 2)
  if (sd(d) == 0 || all(d == 0)) return(paired(i))
  t <- lapply(alternatives, function(a) t.test(d, alternative = a))
  signs <- as.matrix(expand.grid(rep(list(c(-1, 1)), n)))
  sums <- round(as.vector(signs %*% round(abs(d) / step)))
  seen <- round(sum(round(d / step)))
  flip <- c(mean(abs(sums) >= abs(seen)), mean(sums >= seen), mean(sums <= seen))
  k <- d[d != 0]
  ranks <- 2 * rank(abs(k))
  signsOfRanks <- as.matrix(expand.grid(rep(list(0:1), length(k))))
  totals <- round(as.vector(signsOfRanks %*% ranks))
  v <- sum(ranks[k > 0])
  tails <- c(mean(totals >= v), mean(totals <= v))
  rank <- c(v / 2, min(1, 2 * min(tails)), tails)
  sign <- sapply(alternatives, function(a) binom.test(sum(k > 0), length(k), alternative = a)$p.value)
  list(d, c(t[[1]]$statistic, sapply(t, function(x) x$p.value), t[[1]]$conf.int), flip, rank, sign)
}

untied <- do.call(rbind, lapply(c(5, 8, 12, 17, 23, 30, 38, 50, 80, 120), function(n)
  cbind(n, unique(round(seq(0, n * (n + 1) / 2, length.out = 60))))))

adjusted <- function(i) {
  p <- signif(runif(sample(2:9, 1))^sample(1:4, 1), 3)
  list(p, p.adjust(p, "holm"), p.adjust(p, "hochberg"), p.adjust(p, "BH"))
}

blocks <- function(i) {
  b <- sample(2:7, 1)
  t <- sample(2:5, 1)
  y <- matrix(sample(0:12, b * t, replace = TRUE) / 2, b)
  f <- friedman.test(y)
  if (!is.finite(f$statistic)) return(blocks(i))
  a <- data.frame(y = as.vector(y), block = factor(row(y)), treatment = factor(col(y)))
  s <- suppressWarnings(summary(aov(y ~ treatment + block, a)))[[1]]
  if (s$`Mean Sq`[3] < 1e-9) return(blocks(i))
  list(t, as.vector(t(y)), c(f$statistic, f$parameter, f$p.value), c(s$`F value`[1:2], s$`Pr(>F)`[1:2], s$`Mean Sq`[3]))
}

coffees <- function(i) {
  k <- sample(2:7, 1)
  n <- sample(4:40, k, replace = TRUE)
  x <- rbinom(k, n, runif(1, .2, .8))
  if (sum(x) %in% c(0, sum(n))) return(coffees(i))
  p <- suppressWarnings(prop.test(x, n, correct = FALSE))
  list(x, n, c(p$statistic, p$parameter, p$p.value))
}

sample7 <- function(i) {
  y <- round(rnorm(sample(2:15, 1), 5, 2), sample(0:2, 1))
  list(y, c(mean(y), sd(y), quantile(y, c(.5, .25, .75), type = 7)))
}

power <- expand.grid(effect = c(.1, .25, .4, .6, 1, 1.5), n = c(3, 5, 8, 12, 20, 40, 90), alpha = c(.01, .05, .1), sides = 1:2)
power$power <- mapply(function(effect, n, alpha, sides) power.t.test(n = n, delta = effect, sig.level = alpha, type = "paired",
  strict = sides == 2, alternative = c("one.sided", "two.sided")[sides])$power, power$effect, power$n, power$alpha, power$sides)

fields <- c(
  sprintf('"source":"%s, base and stats packages (tests.R)"', R.version.string),
  sprintf('"paired":%s', rows(lapply(1:260, paired))),
  sprintf('"signedRank":%s', rows(list(list(untied[, 1], untied[, 2], psignrank(untied[, 2], untied[, 1]))))),
  sprintf('"adjusted":%s', rows(lapply(1:150, adjusted))),
  sprintf('"blocks":%s', rows(lapply(1:200, blocks))),
  sprintf('"coffees":%s', rows(lapply(1:250, coffees))),
  sprintf('"samples":%s', rows(lapply(1:200, sample7))),
  sprintf('"power":%s', rows(list(as.list(power)))))
writeLines(paste0("{", paste(fields, collapse = ",\n"), "}"), file.path(here, "tests.json"))
