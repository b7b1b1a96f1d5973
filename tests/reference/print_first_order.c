/* Fits of a warming and of a probe's own lag, for a second opinion on them.
 *
 * Argument: a file of rows `seconds degC`. Prints as JSON what warming.h and probe_lag.h make of it. */
#include "battery/probe_lag.h"
#include "battery/warming.h"
#include "numeric/budget.h"

#include <math.h>
#include <stdio.h>

enum { MOST = 20000 };
static double t_s[MOST], degc[MOST];

static void print(const char *name, const struct measure *m, const char *after)
{
    if (measure_known(m))
        printf("\"%s\": [%.12g, %.12g, %.12g, %.12g]%s", name, m->value, m->u, m->lo, m->hi, after);
    else
        printf("\"%s\": null%s", name, after);
}

/* Standard uncertainty of the part of one cause; 0 where it has none. */
static double part_u(const struct measure *m, enum cause cause)
{
    for (int k = 0; k < m->count; k++)
        if (m->parts[k].cause == cause)
            return m->parts[k].u;
    return 0;
}

int main(int argc, char **argv)
{
    FILE *file = argc == 2 ? fopen(argv[1], "r") : NULL;
    if (file == NULL)
        return 2;
    size_t n = 0;
    double t, value;
    while (n < MOST && fscanf(file, "%lf %lf", &t, &value) == 2)
        t_s[n] = t, degc[n++] = value;
    fclose(file);
    struct warming w;
    warming_fit(t_s, degc, n, &w);
    budget_close(&w.final_degc);
    budget_close(&w.tau_s);
    struct measure lag = probe_lag_from_step(t_s, degc, n);
    printf("{\"tau_fit_s\": %.12g, \"tau_model_s\": %.12g, ", part_u(&w.tau_s, CAUSE_FIT), part_u(&w.tau_s, CAUSE_CONDITIONS));
    print("final_degc", &w.final_degc, ", ");
    print("tau_s", &w.tau_s, ", ");
    print("lag_s", &lag, "}\n");
    return 0;
}
