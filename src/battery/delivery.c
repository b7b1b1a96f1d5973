#include "battery/delivery.h"

enum { OF_NOTE = 4 };

/* What a run adds to the score of a stretch, A·s. */
static double score(const struct run *run, const struct throughput *through)
{
    double c = through->sums.charge_c;
    return run->kind == RUN_REST ? 0 : run->kind == RUN_DISCHARGE ? fmax(0, c) : OF_NOTE * fmin(0, c);
}

/* The stretch of the largest sum (Bentley 1984, Communications of the ACM 27:865). */
bool delivery_find(const struct run *runs, const struct throughput *throughs, size_t count, size_t *ret_first,
                   size_t *ret_last)
{
    double sum = 0, best = 0;
    size_t first = 0, best_first = 0, best_last = 0;
    bool afresh = true;
    for (size_t k = 0; k < count; k++) {
        if (afresh && runs[k].kind == RUN_DISCHARGE) {
            sum = 0;
            first = k;
            afresh = false;
        }
        if (afresh)
            continue;
        sum += score(&runs[k], &throughs[k]);
        if (sum > best && runs[k].kind == RUN_DISCHARGE) {
            best = sum;
            best_first = first;
            best_last = k;
        }
        afresh = sum <= 0 || runs[k].ended.by == ENDED_BMS;
    }
    if (!(best > 0))
        return false;
    *ret_first = best_first;
    *ret_last = best_last;
    return true;
}

static void add_runs(const struct delivery *delivery, size_t end, struct throughput *through)
{
    for (size_t k = delivery->first; k < end; k++)
        if (delivery->runs[k].kind != RUN_REST)
            throughput_add(through, &delivery->throughs[k]);
}

struct throughput delivery_whole(const struct delivery *delivery)
{
    struct throughput whole = delivery->throughs[delivery->last];
    add_runs(delivery, delivery->last, &whole);
    return whole;
}

struct throughput delivery_until(const struct delivery *delivery, size_t run, struct place place)
{
    const struct run *within = &delivery->runs[run];
    struct throughput until = throughput_until(delivery->basis, within->first, within->start_s, place);
    add_runs(delivery, run, &until);
    return until;
}
