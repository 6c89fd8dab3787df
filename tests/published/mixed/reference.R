suppressMessages({library(lmerTest);library(emmeans);library(jsonlite)})
emm_options(lmerTest.limit=1e5, pbkrtest.limit=0)
ctl <- lmerControl(optimizer="bobyqa", optCtrl=list(rhobeg=0.2, rhoend=1e-10, maxfun=1e5), calc.derivs=FALSE)
fit_one <- function(d, formula, base) {
  m <- suppressMessages(lmer(as.formula(formula), data=d, control=ctl))
  a <- anova(m)
  e <- emmeans(m, "lot", lmer.df="satterthwaite")
  pr <- summary(pairs(e)); ci <- confint(pairs(e))
  list(formula=formula, varcomp=setNames(as.list(as.data.frame(VarCorr(m))$vcov), as.data.frame(VarCorr(m))$grp),
    reml=REMLcrit(m), f=a["lot","F value"], df1=a["lot","NumDF"], df2=a["lot","DenDF"], p=a["lot","Pr(>F)"],
    means=as.data.frame(summary(e)), pairs=cbind(as.data.frame(pr), low=as.data.frame(ci)$lower.CL, high=as.data.frame(ci)$upper.CL))
}
args <- commandArgs(TRUE)
spec <- fromJSON(args[1], simplifyVector=FALSE)
out <- list(R=R.version.string, lme4=as.character(packageVersion("lme4")), lmerTest=as.character(packageVersion("lmerTest")), emmeans=as.character(packageVersion("emmeans")), script="optimizer bobyqa, rhoend 1e-10", cases=list())
for (s in spec) {
  d <- read.csv(s$file, stringsAsFactors=FALSE, na.strings="")
  for (k in intersect(c("lot","taster","sitting","brew"), names(d))) d[[k]] <- factor(as.character(d[[k]]), levels=sort(unique(as.character(d[[k]])), method="radix"))
  d$y <- d[[s$attribute]]
  r <- try(fit_one(d, s$formula, s$baseline), silent=FALSE)
  if (inherits(r,"try-error")) r <- list(formula=s$formula, error=as.character(r))
  out$cases[[s$name]] <- r
}
writeLines(toJSON(out, digits=15, auto_unbox=TRUE, na="null", dataframe="rows"), args[2])
