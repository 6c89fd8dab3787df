# The reference: lmer + anova (Satterthwaite) for every attribute of a table, no pairs. Prints processor seconds.
suppressMessages(library(lmerTest))
d <- read.csv(commandArgs(TRUE)[1], stringsAsFactors = TRUE)
attributes <- grep("^Y", names(d), value = TRUE)
one <- function(y) {
  formula <- as.formula(paste(y, "~ Product + (1 | Assessor) + (1 | Assessor:Product)"))
  suppressMessages(anova(lmer(formula, data = d)))
}
invisible(one(attributes[1]))  # the packages' own start-up is not counted
used <- function() sum(proc.time()[c("user.self", "sys.self")])
start <- used()
for (y in attributes) one(y)
cat(used() - start, "\n")
