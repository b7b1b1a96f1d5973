/* Fits of settling volts and of a probe's own constant, for a second opinion on them.
 *
 * Argument: a file of rows `seconds value`. Prints as JSON what settle.h makes of it. */
#include "battery/settle.h"
#include "numeric/budget.h"

#include <math.h>
#include <stdio.h>

enum { MOST = 20000 };
static double t_s[MOST], v[MOST];

int main(int argc, char **argv)
{
    FILE *file = argc == 2 ? fopen(argv[1], "r") : NULL;
    if (file == NULL)
        return 2;
    size_t n = 0;
    double t, value;
    while (n < MOST && fscanf(file, "%lf %lf", &t, &value) == 2)
        t_s[n] = t, v[n++] = value;
    fclose(file);
    struct settling s;
    settle_find(t_s, v, n, &s);
    budget_close(&s.settled_v);
    printf("{\"terms\": %d, \"wait_s\": %.12g, \"taus\": [", s.terms, s.wait_s);
    for (int k = 0; k < s.terms; k++)
        printf("%s[%.12g, %.12g, %.12g]", k > 0 ? ", " : "", s.tau_s[k], s.tau_u_s[k], s.a_v[k]);
    printf("]");
    if (measure_known(&s.settled_v))
        printf(", \"settled_v\": %.12g, \"u\": %.12g, \"low\": %.12g, \"high\": %.12g", s.settled_v.value, s.settled_v.u,
               s.settled_v.lo, s.settled_v.hi);
    printf("}\n");
    return 0;
}
