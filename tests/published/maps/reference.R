# Makes reference.json from open data: `Rscript reference.R` in this folder. R 4.2.2, FactoMineR 2.7.
# loire_wine.csv is FactoMineR's `wine` (GPL >= 2; INRA Angers; Escofier and Pages 1994, CSDA 18:121-140).
# bordeaux_counts.csv: see README.md. Axes are compared up to sign.
library(FactoMineR)
m <- function(x) list(rows = rownames(x), columns = colnames(x), values = unname(as.matrix(x)))
wine <- read.csv("loire_wine.csv", row.names = 1, check.names = FALSE)
active <- wine[, 3:29]
pca <- PCA(active, graph = FALSE, ncp = 5)
plain <- PCA(active, scale.unit = FALSE, graph = FALSE, ncp = 5)
groups <- c(5, 3, 10, 9)
names <- c("smell at rest", "sight", "smell after shaking", "taste")
mfa <- MFA(active, group = groups, type = rep("s", 4), name.group = names, graph = FALSE, ncp = 5)
counts <- read.csv("bordeaux_counts.csv", row.names = 1, check.names = FALSE)
ca <- CA(counts, graph = FALSE, ncp = 5)
own <- GPA(active, group = groups, name.group = names, graph = FALSE, tolerance = 1e-12, nbiteration = 2000)
out <- list(
  made_with = paste(R.version.string, "FactoMineR", packageVersion("FactoMineR")),
  pca = list(call = "PCA(wine[, 3:29], ncp = 5)", eig = pca$eig[, 1], row = m(pca$ind$coord),
    cos2 = m(pca$ind$cos2), contrib = m(pca$ind$contrib), column = m(pca$var$coord)),
  plain = list(call = "PCA(wine[, 3:29], scale.unit = FALSE, ncp = 5)", eig = plain$eig[, 1],
    row = m(plain$ind$coord), column = m(plain$var$coord)),
  mfa = list(call = "MFA(wine[, 3:29], group = c(5, 3, 10, 9), type = rep('s', 4), ncp = 5)",
    groups = groups, names = names, eig = mfa$eig[, 1], row = m(mfa$ind$coord), table = m(mfa$group$coord),
    column = m(mfa$quanti.var$cor), partial = m(mfa$ind$coord.partiel), RV = m(mfa$group$RV)),
  ca = list(call = "CA(bordeaux_counts, ncp = 5)", eig = ca$eig[, 1], row = m(ca$row$coord),
    column = m(ca$col$coord), row_contrib = m(ca$row$contrib), row_cos2 = m(ca$row$cos2),
    column_contrib = m(ca$col$contrib), column_cos2 = m(ca$col$cos2)),
  gpa = list(call = "GPA(wine[, 3:29], group = c(5, 3, 10, 9), tolerance = 1e-12, nbiteration = 2000)",
    consensus = m(own$consensus), scaling = as.numeric(own$scaling), panova = lapply(own$PANOVA, m))
)
writeLines(jsonlite::toJSON(out, digits = NA, auto_unbox = TRUE), "reference.json")
