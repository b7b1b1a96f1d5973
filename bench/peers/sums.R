# Trapezoid sums of charge and energy with data.table.
library(data.table)
setDTthreads(0)
log <- fread(commandArgs(TRUE)[1], col.names = c("t", "v", "a", "degc"))
n <- nrow(log)
half <- function(x) (x[-1] + x[-n]) / 2
cat(sprintf("%.6f %.6f\n", log[, sum(diff(t) * half(a))] / 3600, log[, sum(diff(t) * half(v * a))] / 3600))
