#include "numeric/changepoint.h"

#include "numeric/block.h"

#include <stdint.h>

struct moments moments_join(struct moments a, struct moments b)
{
    if (a.n == 0 || b.n == 0)
        return a.n == 0 ? b : a;
    double n = a.n + b.n, share = b.n / n, weight = a.n * share;
    double dt = b.t - a.t, dy = b.y - a.y;
    return (struct moments){
        .n = n,
        .t = a.t + dt * share,
        .y = a.y + dy * share,
        .tt = a.tt + b.tt + dt * dt * weight,
        .ty = a.ty + b.ty + dt * dy * weight,
        .yy = a.yy + b.yy + dy * dy * weight,
    };
}

/* Sums about the first reading lie close enough to sums about the mean to lose no digits. */
static struct moments block_moments(const double *t, const double *y, size_t n)
{
    double st = 0, sy = 0, tt = 0, ty = 0, yy = 0, count = (double)n;
    for (size_t k = 0; k < n; k++) {
        double dt = t != NULL ? t[k] - t[0] : 0, dy = y[k] - y[0];
        st += dt;
        sy += dy;
        tt += dt * dt;
        ty += dt * dy;
        yy += dy * dy;
    }
    return (struct moments){
        .n = count,
        .t = (t != NULL ? t[0] : 0) + st / count,
        .y = y[0] + sy / count,
        .tt = tt - st * st / count,
        .ty = ty - st * sy / count,
        .yy = yy - sy * sy / count,
    };
}

struct moments moments_of(const double *t, const double *y, size_t n)
{
    struct moments all = {0};
    for (size_t k = 0; k < n; k += BLOCK)
        all = moments_join(all, block_moments(t != NULL ? t + k : NULL, y + k, block_size(n - k)));
    return all;
}

double moments_rss(const struct moments *moments, enum segment_shape shape)
{
    double rss = moments->yy;
    if (shape == SEGMENT_LINE && moments->tt > 0)
        rss -= moments->ty * moments->ty / moments->tt;
    return rss > 0 ? rss : 0; /* rounding may leave a little less than nothing */
}

double changepoint_penalty(double noise_sd, size_t n, enum segment_shape shape)
{
    double unknowns = shape == SEGMENT_LINE ? 3 : 2;
    return unknowns * noise_sd * noise_sd * log((double)n);
}

/* First reading after boundary j: boundaries are the start, the candidates, and the end. */
static size_t boundary(const struct changepoint_task *task, size_t j)
{
    if (j == 0)
        return 0;
    return j <= task->candidate_count ? task->candidates[j - 1] : task->n;
}

/* Lengthens all live segments to boundary j, and drops the starts that were beaten so far back that the
 * start that beat them can be used from here. Returns how many are left. */
static size_t lengthen(const struct changepoint_task *task, struct changepoint_node *live, size_t count,
                       size_t j)
{
    size_t from = boundary(task, j - 1), to = boundary(task, j), kept = 0;
    struct moments stretch = moments_of(task->t != NULL ? task->t + from : NULL, task->y + from, to - from);
    for (size_t k = 0; k < count; k++) {
        struct changepoint_node *one = &live[k];
        if (one->beaten != SIZE_MAX && to - boundary(task, one->beaten) >= task->least_readings)
            continue;
        live[kept].start = one->start;
        live[kept].beaten = one->beaten;
        live[kept++].moments = moments_join(one->moments, stretch);
    }
    return kept;
}

/* Cost of all that lies before a start and of the cut there, which the first reading needs not. */
static double entry_cost(const struct changepoint_task *task, const struct changepoint_node *work,
                         size_t start)
{
    return start > 0 ? work[start].best + task->penalty : 0;
}

/* Finds the best last segment up to boundary j, and marks the starts that can win no more. */
static void choose(const struct changepoint_task *task, struct changepoint_node *work, size_t count, size_t j)
{
    double least = (double)task->least_readings;
    work[j].best = INFINITY;
    for (size_t k = 0; k < count; k++) {
        struct changepoint_node *one = &work[k];
        one->cost = entry_cost(task, work, one->start) + moments_rss(&one->moments, task->shape);
        if (one->moments.n >= least && one->cost < work[j].best) {
            work[j].best = one->cost;
            work[j].previous = one->start;
        }
    }
    for (size_t k = 0; k < count; k++)
        if (work[k].moments.n >= least && work[k].beaten == SIZE_MAX &&
            work[k].cost >= work[j].best + task->penalty)
            work[k].beaten = j;
}

void changepoint_find(const struct changepoint_task *task, struct changepoint_node *work, size_t *ret_changes,
                      size_t *ret_count, double *ret_rss)
{
    size_t end = task->candidate_count + 1, count = 1, changes = 0;
    work[0] = (struct changepoint_node){.beaten = SIZE_MAX};
    for (size_t j = 1; j <= end; j++) {
        count = lengthen(task, work, count, j);
        choose(task, work, count, j);
        if (isfinite(work[j].best)) { /* with a least length, not every boundary can be reached */
            work[count].start = j;
            work[count].beaten = SIZE_MAX;
            work[count++].moments = (struct moments){0};
        }
    }
    struct moments whole = moments_of(task->t, task->y, task->n);
    double rss = moments_rss(&whole, task->shape);
    if (isfinite(work[end].best)) {
        rss = work[end].best;
        for (size_t j = work[end].previous; j > 0; j = work[j].previous) {
            ret_changes[changes++] = boundary(task, j);
            rss -= task->penalty;
        }
    }
    for (size_t k = 0; k < changes / 2; k++) { /* they were found from the end */
        size_t keep = ret_changes[k];
        ret_changes[k] = ret_changes[changes - 1 - k];
        ret_changes[changes - 1 - k] = keep;
    }
    *ret_count = changes;
    *ret_rss = rss;
}
