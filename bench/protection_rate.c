/* How long a protection run of many readings takes to examine: an invented charge whose sensor is chilled and heated again
 * and again, until the board stops it and lets it in again, 20 readings a second, all in memory. Prints the median of
 * several examinations (processor time, so that others at work on the machine do not count) and how many stops were found;
 * fails when one was missed or took longer than MILLISECONDS.
 * usage: protection_rate [READINGS [MILLISECONDS]] */
#include "battery/examine.h"

#include <time.h>

enum { CYCLES = 12, TURNS = 7 };
static const double period_s = 0.05, cold_degc = 1.6, cold_back_degc = 5.3, hot_degc = 52.4, hot_back_degc = 47.7, mild_degc = 21.3;

/* A linear congruential generator (Knuth, MMIX), enough for noise. */
static double noise(unsigned long long *state, double sigma)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return sigma * ((double)(*state >> 11) / 9007199254740992.0 - 0.5) * 3.4641;
}

static double round_to(double value, double digit)
{
    return digit * round(value / digit);
}

/* The sensor goes from mild to beyond the limit and back, in turns cold and hot. */
static double place_degc(double share)
{
    double cycle = share * CYCLES, part = cycle - floor(cycle), away = part < 0.5 ? 2 * part : 2 - 2 * part;
    return mild_degc + away * ((int)cycle % 2 == 0 ? cold_degc - 2 - mild_degc : hot_degc + 2 - mild_degc);
}

static void fill(struct series *series, size_t readings)
{
    unsigned long long state = 2718281828u;
    bool open = false;
    for (size_t k = 0; k < readings; k++) {
        double degc = place_degc((double)k / (double)readings);
        open = degc <= cold_degc || degc >= hot_degc || (open && (degc < cold_back_degc || degc > hot_back_degc));
        series->t_s[k] = period_s * (double)k;
        series->column[CHANNEL_CURRENT][k] = round_to(open ? 0 : -19.7 + noise(&state, 0.02), 0.01);
        series->column[CHANNEL_VOLTAGE][k] = round_to((open ? 14.42 : 13.31 + 0.2 * (double)k / (double)readings) + noise(&state, 0.001), 0.001);
        series->column[CHANNEL_TEMPERATURE][k] = round_to(degc + noise(&state, 0.03), 0.1);
    }
    series->count = readings;
    series->oriented = true;
    series->resolution[CHANNEL_CURRENT] = 0.01;
    series->resolution[CHANNEL_VOLTAGE] = 0.001;
    series->resolution[CHANNEL_TEMPERATURE] = 0.1;
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Milliseconds of one examination; negative when a stop was missed. */
static double examine_once(const struct series *series)
{
    struct rig rig = rig_default();
    struct asked asked = asked_nothing();
    struct findings findings = {0};
    struct notices notices = {0};
    struct message message = {0};
    struct timespec from, to;
    asked.cells = 4;
    asked.lithium_iron_phosphate = true;
    rig.probe_tau_s = 10;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &from);
    enum status status = examine_series(series, &rig, &asked, &findings, &notices, &message);
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &to);
    bool all = status == STATUS_OK && findings.trip_count == CYCLES;
    for (size_t k = 0; all && k < CYCLES; k++)
        all = findings.trips[k].way == (k % 2 == 0 ? TRIP_COLD : TRIP_HOT) && measure_known(&findings.trips[k].trip_degc);
    if (status == STATUS_OK)
        findings_free(&findings);
    notices_free(&notices);
    return all ? 1e3 * (double)(to.tv_sec - from.tv_sec) + 1e-6 * (double)(to.tv_nsec - from.tv_nsec) : -1;
}

int main(int argc, char **argv)
{
    size_t readings = argc > 1 ? strtoul(argv[1], NULL, 10) : 1000000;
    double limit_ms = argc > 2 ? strtod(argv[2], NULL) : INFINITY, took_ms[TURNS];
    struct series series = {0};
    if (readings < 10000 ||
        !series_init(&series, readings, 1u << CHANNEL_VOLTAGE | 1u << CHANNEL_CURRENT | 1u << CHANNEL_TEMPERATURE)) {
        fprintf(stderr, "usage: protection_rate [READINGS [MILLISECONDS]]   (10000 readings or more)\n");
        return 2;
    }
    fill(&series, readings);
    for (int k = 0; k < TURNS; k++) {
        took_ms[k] = examine_once(&series);
        if (took_ms[k] < 0) {
            fprintf(stderr, "not all of the %d stops were found\n", CYCLES);
            return 1;
        }
    }
    series_free(&series);
    qsort(took_ms, TURNS, sizeof *took_ms, by_size);
    printf("%zu readings, %d stops: %.1f ms (median of %d, least %.1f)\n", readings, CYCLES, took_ms[TURNS / 2], TURNS, took_ms[0]);
    return took_ms[TURNS / 2] <= limit_ms ? 0 : 1;
}
