/* How many states of conductors (teardown/lead.h) are solved a second, on one core: leads of a hand's length between a
 * cold and a heated end, of all sections from 0.8 to 85 mm², alone, apart and in a bundle, at currents from a tenth of
 * to above what a jacket of 105 °C bears. Fails when a state is missed, when the heat that is made does not leave, or
 * below STATES a second. usage: conductor_rate [TIMES [STATES]] */
#include "teardown/lead.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { CASES = 240, TURNS = 7 };

struct loaded {
    struct lead lead;
    double a, board_w;
};

static struct loaded loaded(int k)
{
    static const int parallel[] = {1, 1, 3, 4};
    struct loaded one = {.board_w = 0.7 * (k % 9)};
    struct lead_limits limits = {105, {NAN, NAN}};
    enum lead_limit limit;
    one.lead = (struct lead){
        .gauge = {.parallel = parallel[k % 4], .awg = 18 - k % 21, .area_mm2 = awg_area_mm2(18 - k % 21)},
        .metal = k % 5 == 4 ? METAL_COPPER_CLAD_ALUMINIUM : METAL_COPPER,
        .length_m = 0.06 + 0.023 * (k % 13), .bundled = k % 4 == 3, .air_degc = 27 + k % 17,
        .air_k_per_a2 = 3e-4 * (k % 3), .emissivity = 0.9, .convection = 0.4 + 0.1 * (k % 7),
        .ends = {{31, 0.9, 1.1e-4, 0, 0}, {34, 0.21, 1.7e-4, one.board_w, 1e-4 * (k % 2)}}};
    one.lead.jacket_mm = lead_usual_jacket_mm(one.lead.gauge.area_mm2);
    one.a = (0.1 + 0.05 * (k % 23)) * lead_current(&one.lead, &limits, &limit);
    return one;
}

/* Heat that is made is heat that leaves, to half a per cent: the slices are of finite width. */
static bool solved(const struct loaded *one)
{
    struct lead_state state;
    return lead_solve(&one->lead, one->a, &state) &&
           fabs(state.w_to_air + state.w_to_ends - state.heat_w - one->board_w) <= 0.005 * (state.heat_w + one->board_w);
}

static double now_s(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

int main(int argc, char **argv)
{
    unsigned long times = argc > 1 ? strtoul(argv[1], NULL, 10) : 50;
    double least = argc > 2 ? strtod(argv[2], NULL) : 0, rate[TURNS];
    static struct loaded cases[CASES];
    if (times == 0) {
        fprintf(stderr, "usage: conductor_rate [TIMES [STATES]]\n");
        return 2;
    }
    for (int k = 0; k < CASES; k++)
        cases[k] = loaded(k);
    for (int turn = 0; turn < TURNS; turn++) {
        double from = now_s();
        for (unsigned long j = 0; j < times * CASES; j++) {
            if (!solved(&cases[j % CASES])) {
                fprintf(stderr, "conductor %lu: not solved\n", j % CASES);
                return 1;
            }
        }
        rate[turn] = (double)(times * CASES) / (now_s() - from);
    }
    qsort(rate, TURNS, sizeof *rate, by_size);
    printf("%d conductors, %lu times each: %.0f states a second of one core (median of %d, least %.0f)\n", CASES, times,
           rate[TURNS / 2], TURNS, rate[0]);
    return rate[TURNS / 2] >= least ? 0 : 1;
}
