# Trapezoid sums of charge and energy, as a person would write them.
BEGIN { FS = "," }
NR > 1 {
    if (NR > 2) {
        ah += ($1 - t) * ($3 + a) / 2
        wh += ($1 - t) * ($2 * $3 + p) / 2
    }
    t = $1; a = $3; p = $2 * $3
}
END { printf "%.6f %.6f\n", ah / 3600, wh / 3600 }
