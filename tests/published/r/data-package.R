# A session's data package read by base R alone, as anyone would who gets it:
#   Rscript tests/published/r/data-package.R
# The package lies in data-package/ beside this script; what R finds goes to data-package.json, 17 significant digits.
args <- commandArgs(FALSE)
here <- dirname(sub("--file=", "", grep("--file=", args, value = TRUE)))
table <- function(name) read.csv(file.path(here, "data-package", paste0(name, ".csv")))
number <- function(x) sprintf("%.17g", x)

ballots <- table("ballots")
counted <- subset(ballots, control == "" & void_reason == "")
answers <- merge(merge(table("answers"), table("cups")), counted[c("seat", "presentation", "coffee", "set", "odd_position")])

triangles <- subset(answers, endpoint == "e1" & chosen)
right <- sum(triangles$position == triangles$odd_position)
difference <- binom.test(right, nrow(triangles), 1/3, "greater")

picks <- subset(answers, endpoint == "e2" & chosen)
preference <- binom.test(sum(picks$treatment == "B"), nrow(picks), 1/2)

scores <- subset(answers, endpoint == "e3")
halves <- merge(subset(scores, treatment == "A"), subset(scores, treatment == "B"), by = c("seat", "presentation"))
means <- tapply(halves$score.y - halves$score.x, halves$seat, mean)
paired <- t.test(means)

readings <- aggregate(tds_percent ~ pot, table("readings"), mean)
brews <- merge(table("pots"), readings)
yield <- with(brews, tapply(tds_percent * beverage_g / dose_g, treatment, mean))

fields <- c(source = sprintf('"R %s.%s, base (data-package.R)"', R.version$major, R.version$minor),
  triangles = nrow(triangles), right = right, trianglesPValue = number(difference$p.value),
  picks = nrow(picks), pickedB = sum(picks$treatment == "B"), preferencePValue = number(preference$p.value),
  cannotTell = sum(table("answers")$cannot_tell) / 2,
  scoreMean = number(paired$estimate), scoreLower = number(paired$conf.int[1]), scorePValue = number(paired$p.value),
  meanYieldA = number(yield[["A"]]), meanYieldB = number(yield[["B"]]))
writeLines(paste0("{", paste(sprintf('"%s":%s', names(fields), fields), collapse = ",\n"), "}"), file.path(here, "data-package.json"))
