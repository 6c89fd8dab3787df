# Writes reference.json: `Rscript reference.R`. R 4.2.2, lme4 1.1-31. The lots are simulated here, free of licence.
library(lme4)
set.seed(11)
n <- 36
lots <- data.frame(season = rep(c("2024", "2025", "2026"), each = 12), cultivar = sample(c("w", "x", "y", "z"), n, TRUE))
lots$floral <- round(c(2024.5, 3, 4)[as.integer(factor(lots$season))] %% 7 +
  c(w = -1, x = 0, y = 0.4, z = 1.2)[lots$cultivar] + rnorm(n, 0, 0.8), 3)
fit <- lmer(floral ~ season + (1 | cultivar), lots, REML = TRUE, control = lmerControl(optCtrl = list(xtol_abs = 1e-12, ftol_abs = 1e-14)))
spread <- as.data.frame(VarCorr(fit))$vcov
blup <- ranef(fit)$cultivar[, 1]
writeLines(jsonlite::toJSON(list(
  made_with = paste(R.version.string, "lme4", packageVersion("lme4")),
  call = "lmer(floral ~ season + (1 | cultivar), REML = TRUE)",
  lots = lots, cultivars = rownames(ranef(fit)$cultivar), effects = blup, cultivar_variance = spread[1], residual_variance = spread[2]
), digits = NA, auto_unbox = TRUE, dataframe = "columns"), "reference.json")
