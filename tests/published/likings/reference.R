# R 4.2.2, lme4 1.1-31: Rscript reference.R ../mixed/brews_missing.csv likings.json
# The lots of tests/published/mixed/brews_missing.csv at fixed spreads: levels of tasters fixed, lots, pots and each
# taster's own taste random, cups of unlike tasters weighed. A lot is its mean over the four tasters.
suppressMessages({library(lme4); library(jsonlite)})
args <- commandArgs(TRUE)
d <- read.csv(args[1])
for (k in c("lot", "taster", "brew")) d[[k]] <- factor(d[[k]])
noise <- c(T01 = 1, T02 = 0.5, T03 = 2, T04 = 1.25)  # sigma of each taster as a multiple of the first's
d$w <- 1 / noise[as.character(d$taster)]^2
out <- list(R = R.version.string, lme4 = as.character(packageVersion("lme4")), noise = as.list(noise), fits = list())
for (a in c("a1", "a2", "a3")) {
  d$y <- d[[a]]
  f <- y ~ 0 + taster + (1 | lot) + (1 | lot:brew) + (1 | lot:taster)
  m <- lmer(f, d, weights = w, REML = TRUE)
  sd <- setNames(as.data.frame(VarCorr(m))$sdcor, as.data.frame(VarCorr(m))$grp)
  r <- ranef(m)
  lt <- r$`lot:taster`
  of <- sub(":.*", "", rownames(lt))
  lots <- sapply(rownames(r$lot), function(l) r$lot[l, 1] + sum(lt[of == l, 1]) / 4)
  dev <- lmer(f, d, weights = w, REML = TRUE, devFunOnly = TRUE)
  # lme4 orders the random terms by their number of levels; its theta follows that order
  cnms <- names(getME(m, "cnms"))
  thetas <- list(c(0.5, 0.7, 1.1), c(1, 1, 1), c(0.2, 1.5, 0.4), c(0.3, 0, 2), c(2, 0.6, 0.05))
  out$fits[[a]] <- list(sd = as.list(sd), lots = as.list(lots), criterion = REMLcrit(m), order = cnms,
    thetas = thetas, criteria = sapply(thetas, dev))
}
writeLines(toJSON(out, digits = 14, auto_unbox = TRUE, pretty = TRUE), args[2])
