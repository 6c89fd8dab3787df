# Made `reference.json` beside this file: Rscript reference.R (R 4.2.2, BradleyTerry2 1.1-2, psychotools 0.7-2,
# survival of R 4.2.2). Debian: apt-get install r-base-core r-cran-bradleyterry2 r-cran-psychotools r-cran-jsonlite
library(BradleyTerry2)
library(psychotools)
library(survival)
library(jsonlite)

# 1. Home wins of the American League East, 1987: Agresti (2002), Categorical Data Analysis, 2nd ed., p. 438;
#    data frame `baseball` of BradleyTerry2 (GPL-2 or later), the model of its help page.
data("baseball", package = "BradleyTerry2")
baseball$home.team <- data.frame(team = baseball$home.team, at.home = 1)
baseball$away.team <- data.frame(team = baseball$away.team, at.home = 0)
home <- BTm(cbind(home.wins, away.wins), home.team, away.team, ~ team + at.home, id = "team", data = baseball,
            epsilon = 1e-12)
plain <- BTm(cbind(home.wins, away.wins), home.team, away.team, ~ team, id = "team", data = baseball, epsilon = 1e-12)

# 2. Pairs with ties, invented: each row first, second, times first better, second better, level.
ties <- data.frame(first = c("a", "b", "a", "c", "b", "d", "d", "c"), second = c("b", "a", "c", "a", "c", "a", "b", "d"),
                   win = c(5, 2, 7, 1, 6, 1, 2, 3), loss = c(2, 4, 1, 5, 3, 6, 5, 2), tie = c(3, 4, 1, 2, 2, 1, 0, 4))
#    Davidson (1970) with an order effect as a log-linear model: base R glm, one intercept a pair.
long <- do.call(rbind, lapply(seq_len(nrow(ties)), function(i) {
  row <- ties[i, ]
  data.frame(pair = i, n = c(row$win, row$loss, row$tie), first = row$first, second = row$second,
             up = c(1, 0, .5), down = c(0, 1, .5), tie = c(0, 0, 1))
}))
for (lot in c("b", "c", "d")) long[[lot]] <- long$up * (long$first == lot) + long$down * (long$second == lot)
davidson <- glm(n ~ factor(pair) + b + c + d + up + tie, family = poisson, data = long,
                control = glm.control(epsilon = 1e-14, maxit = 100))
#    The same by psychotools, without order effect: both orders of a pair put together.
counts <- ties
swap <- counts$first > counts$second
counts[swap, c("first", "second", "win", "loss")] <- counts[swap, c("second", "first", "loss", "win")]
counts <- aggregate(cbind(win, loss, tie) ~ first + second, counts, sum)
judged <- do.call(rbind, lapply(seq_len(nrow(counts)), function(i) {
  v <- rep(c(1, -1, 0), unlist(counts[i, 3:5])); m <- matrix(NA, length(v), 6)
  pairs <- rbind(c("a", "a", "b", "a", "b", "c"), c("b", "c", "c", "d", "d", "d"))  # the order paircomp asks for
  m[, which(pairs[1, ] == counts$first[i] & pairs[2, ] == counts$second[i])] <- v; m
}))
both <- btmodel(paircomp(judged, labels = c("a", "b", "c", "d")), undecided = TRUE)

# 3. Case V: glm with a probit link on the same pairs, ties left out.
design <- sapply(c("b", "c", "d"), function(l) (ties$first == l) - (ties$second == l))
probit <- glm(cbind(win, loss) ~ 0 + design + I(rep(1, 8)), family = binomial("probit"), data = ties,
              control = glm.control(epsilon = 1e-14))

# 4. Plackett-Luce: rows of four, invented, as an exploded logit (survival::coxph; each row a stratum, places as times).
rows <- c("abcd", "badc", "acbd", "dcba", "abdc", "bcad", "cabd", "adbc", "bdac", "acdb", "cab", "dab", "bcd")
exploded <- do.call(rbind, lapply(seq_along(rows), function(i) {
  lots <- strsplit(rows[i], "")[[1]]; data.frame(row = i, place = seq_along(lots), lot = lots)
}))
exploded$lot <- factor(exploded$lot)
luce <- coxph(Surv(place, rep(1, nrow(exploded))) ~ lot + strata(row), data = exploded,
              control = coxph.control(eps = 1e-14))

estimates <- function(fit) list(estimate = as.list(coef(fit)), se = as.list(sqrt(diag(vcov(fit)))))
out <- list(
  baseball = list(data = data.frame(home = as.character(baseball$home.team$team), away = as.character(baseball$away.team$team),
                                    home.wins = baseball$home.wins, away.wins = baseball$away.wins),
                  plain = estimates(plain), home = estimates(home)),
  ties = list(data = ties, davidson = estimates(davidson), psychotools = estimates(both)),
  probit = estimates(probit), rows = rows, luce = estimates(luce))
write(toJSON(out, digits = 12, auto_unbox = TRUE, pretty = TRUE), "reference.json")
