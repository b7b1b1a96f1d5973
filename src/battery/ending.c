#include "battery/ending.h"

#include "battery/burst.h"
#include "battery/fullness.h"
#include "battery/knee.h"
#include "battery/local_line.h"
#include "numeric/budget.h"

#include <stdarg.h>

struct scene {
    const struct series *series;
    const struct trace *trace;
    const struct rig *rig;
    const struct asked *asked;
    const struct findings *findings;
    double digit_v, digit_a;
};

/* What was seen from the end of a run to the next current. */
struct aftermath {
    size_t last;                  /* of the run, under its load alone */
    size_t rest_first, rest_last; /* trace indices; first > last when there is no reading at rest */
    size_t live, low, blank;      /* rows of the series with volts, next to none, no volts at all */
    double gap_s;                 /* from the last reading under load to the next row; NaN: there is none */
    double low_v, high_v, high_s; /* lowest and highest volts, and how long after the end */
    double first_v;
    const struct run *next; /* the next run under current, NULL at the end of the log */
    bool collapsed, dark;
};

static size_t row_of(const struct trace *trace, size_t k)
{
    return trace->row != NULL ? trace->row[k] : k;
}

static const struct run *next_loaded(const struct scene *scene, size_t r)
{
    for (size_t k = r + 1; k < scene->findings->run_count; k++)
        if (scene->findings->runs[k].kind != RUN_REST)
            return &scene->findings->runs[k];
    return NULL;
}

static void count_rows(const struct scene *scene, size_t from, size_t to, double end_v,
                       struct aftermath *after)
{
    const double *v = scene->series->column[CHANNEL_VOLTAGE];
    for (size_t k = from; k < to; k++) {
        after->live += v[k] >= COLLAPSED * end_v;
        after->low += v[k] < COLLAPSED * end_v;
        after->blank += isnan(v[k]);
    }
}

static struct aftermath look_after(const struct scene *scene, size_t r, size_t last, double end_v)
{
    const struct trace *trace = scene->trace;
    const struct run *run = &scene->findings->runs[r];
    struct aftermath after = {
        .last = last, .gap_s = NAN, .low_v = NAN, .high_v = NAN, .high_s = NAN, .first_v = NAN};
    after.next = next_loaded(scene, r);
    after.rest_first = run->last + 1;
    after.rest_last = (after.next != NULL ? after.next->first : trace->count) - 1;
    size_t row = row_of(trace, run->last);
    if (row + 1 < scene->series->count)
        after.gap_s = scene->series->t_s[row + 1] - trace->t_s[last];
    if (run->last + 1 < trace->count)
        after.first_v = trace->v[run->last + 1];
    count_rows(scene, row + 1, after.next != NULL ? row_of(trace, after.next->first) : scene->series->count,
               end_v, &after);
    for (size_t k = after.rest_first; k <= after.rest_last; k++) {
        after.low_v = fmin(after.low_v, trace->v[k]);
        if (!(trace->v[k] <= after.high_v)) {
            after.high_v = trace->v[k];
            after.high_s = trace->t_s[k] - run->end_s;
        }
    }
    after.dark = after.live == 0 && after.low + after.blank >= 2;
    after.collapsed = after.dark || after.low >= 2 || (after.low == 1 && after.live == 0);
    return after;
}

/* Reading k falls short of the lines through the readings before it, in volts and amps or in volts by more than
 * those readings fell, and then they collapse: the meter's averaging has caught some of that. */
static bool caught_collapse(const struct scene *scene, size_t first, size_t k)
{
    const struct trace *trace = scene->trace;
    const double *t = trace->t_s;
    const struct findings *found = scene->findings;
    bool gone = k + 1 < trace->count ? trace->v[k + 1] < COLLAPSED * trace->v[k - 1]
                                     : row_of(trace, k) + 1 < scene->series->count;
    if (!gone || k < first + 4)
        return false;
    size_t from = local_line_window(t, first, k - 1, 0);
    double noise_v = isnan(found->noise_v) ? 0 : found->noise_v, noise_a = isnan(found->noise_a) ? 0 : found->noise_a;
    struct local_line v = local_line_at(t, trace->v, from, k - 1, t[k], noise_v);
    struct local_line a = local_line_at(t, trace->a, from, k - 1, t[k], noise_a);
    double short_v = v.value - trace->v[k], short_a = a.value - trace->a[k];
    return short_v > 6 * hypot(v.u, fmax(noise_v, scene->digit_v)) &&
           (short_a > 6 * hypot(a.u, fmax(noise_a, scene->digit_a)) || short_v > fabs(v.slope) * (t[k] - t[from]));
}

/* A reading in which a meter's averaging has caught the stop as well, or where the collapse has begun. */
static bool is_mixture(const struct scene *scene, size_t first, size_t k)
{
    const double *v = scene->trace->v, *a = scene->trace->a;
    bool collapses = k + 1 < scene->trace->count && v[k + 1] < COLLAPSED * v[k - 1];
    return fabs(a[k]) < CAUGHT * fabs(a[k - 1]) || caught_collapse(scene, first, k) ||
           (collapses && k > first + 1 && v[k - 1] - v[k] > (1 - CAUGHT) * v[k - 1]);
}

/* The last reading of a run that is of the load alone: not a mixture, of which there may be two where rows are
 * close, nor volts of after the stop where channels are read a row apart. */
static size_t last_under_load(const struct scene *scene, const struct run *run)
{
    const struct trace *trace = scene->trace;
    double noise = fmax(isnan(scene->findings->noise_v) ? 0 : scene->findings->noise_v, scene->digit_v);
    size_t first = scene->findings->phases[run->first_phase + run->phases - 1].first, last = run->last;
    while (last > first && run->last - last < 2 && is_mixture(scene, first, last))
        last--;
    if (last < run->last || last + 1 >= trace->count || last < first + 2)
        return last;
    return local_line_overtaken(trace->t_s, trace->v, first, last, last + 1, noise) ? last - 1 : last;
}

/* How far the volts may have moved on after their last reading, before the current stopped. */
static double unseen_change(const struct scene *scene, const struct run *run, size_t last)
{
    const struct trace *trace = scene->trace;
    const struct series *series = scene->series;
    size_t row = row_of(trace, run->last) + 1; /* a meter that has gone dark still has its rows */
    if (row >= series->count)
        return 0;
    size_t first = scene->findings->phases[run->first_phase + run->phases - 1].first;
    if (first >= last) /* one reading shows no slope */
        return 0;
    enum { RECENT = 8 };
    double longest = 0, gap = (last < run->last ? trace->t_s[last + 1] : series->t_s[row]) - trace->t_s[last];
    for (size_t k = last; k > first && last - k < RECENT; k--) /* a row may have been lost before as well */
        longest = fmax(longest, trace->t_s[k] - trace->t_s[k - 1]);
    size_t from = local_line_window(trace->t_s, first, last, 0);
    struct local_line line =
        local_line_at(trace->t_s, trace->v, from, last, trace->t_s[last], scene->findings->noise_v);
    double steepest = fmin(line.slope, (trace->v[last] - trace->v[last - 1]) / (trace->t_s[last] - trace->t_s[last - 1]));
    if (run->kind == RUN_CHARGE || !isfinite(steepest))
        steepest = line.slope;
    return steepest * fmin(gap, longest); /* had the load stayed, it would have been read again */
}

static struct measure end_volts(const struct scene *scene, const struct run *run, size_t last)
{
    const struct accuracy *accuracy = &scene->rig->of[CHANNEL_VOLTAGE];
    double v = scene->trace->v[last], noise = scene->findings->noise_v;
    struct measure end = measure_of(v);
    const char *better = "a better voltmeter, or a calibration against one";
    const struct part parts[] = {
        {CAUSE_GAIN_VOLTAGE, SHAPE_RECTANGULAR, v * accuracy->gain / sqrt(3), INFINITY,
         rig_source(scene->rig, CHANNEL_VOLTAGE, ERROR_GAIN), "gain of the voltage channel", better},
        {CAUSE_OFFSET_VOLTAGE, SHAPE_RECTANGULAR, accuracy_offset(accuracy, scene->digit_v) / sqrt(3),
         INFINITY, rig_source(scene->rig, CHANNEL_VOLTAGE, ERROR_OFFSET), "offset of the voltage channel",
         better},
        {CAUSE_RESOLUTION, SHAPE_RECTANGULAR, scene->digit_v / sqrt(12), INFINITY, 0, "digits of the volts",
         "a meter with one more digit"},
        {CAUSE_NOISE, SHAPE_NORMAL, isnan(noise) ? 0 : noise, INFINITY, 0, "noise of the volts",
         "a quieter meter"},
        {CAUSE_SAMPLING, SHAPE_RECTANGULAR, unseen_change(scene, run, last) / sqrt(3), INFINITY, 0,
         "how far the volts went on after the last reading", "a shorter sampling interval near the end"},
    };
    for (size_t k = 0; k < sizeof parts / sizeof *parts; k++)
        measure_part(&end, parts[k]);
    budget_close(&end);
    return end;
}

/* The last reading that is not of a burst at the very end of a run; `last` is the last under its load alone. */
static size_t last_of_base(const struct scene *scene, const struct run *run, size_t last)
{
    size_t k = last;
    while (k > run->first && fabs(scene->trace->a[k]) > BURSTING * run->mean_a)
        k--;
    return k;
}

/* The knee under the load that the run ended with; NaN when it has none. */
static double knee_of(const struct scene *scene, const struct run *run, size_t last)
{
    const struct trace *trace = scene->trace;
    last = last_of_base(scene, run, last);
    const struct phase *phase = &scene->findings->phases[run->first_phase + run->phases - 1];
    double knee_s, level = phase->mean_a;
    size_t first = phase->first;
    for (size_t k = run->first_phase + run->phases; k-- > run->first_phase;) {
        const struct phase *earlier = &scene->findings->phases[k];
        if (fabs(earlier->mean_a - level) <= fabs(level) / 5)
            first = earlier->first; /* the same load before a burst: the curve goes on */
    }
    if (last < first || trace->t_s[last] - trace->t_s[first] < KNEE_S ||
        !knee_find(trace->t_s + first, trace->v + first, last - first + 1, scene->findings->noise_v, &knee_s))
        return NAN;
    return knee_s;
}

__attribute__((format(printf, 2, 3))) static void say(struct ending *ended, const char *format, ...)
{
    size_t used = strlen(ended->evidence);
    va_list args;
    va_start(args, format);
    vsnprintf(ended->evidence + used, sizeof ended->evidence - used, format, args);
    va_end(args);
}

/* "24.8 A stopped within 1 s at 10.12 V (2.53 V a cell), 6.2 min after the knee" */
static void say_stop(const struct scene *scene, const struct aftermath *after, struct ending *ended)
{
    say(ended, "%.3g A stopped within %.3g s at %.4g V", fabs(scene->trace->a[after->last]), after->gap_s,
        ended->end_v.value);
    if (isfinite(ended->end_cell_v))
        say(ended, " (%.3g V a cell)", ended->end_cell_v);
    if (isfinite(ended->knee_minutes))
        say(ended, ", %.3g min after the knee", ended->knee_minutes);
}

/* Low volts by a high current alone: at rest before, the cells stood on their plateau, and under it they hardly fell. */
static bool only_sags(const struct scene *scene, const struct run *run, double v)
{
    const struct trace *trace = scene->trace;
    size_t early = run->first + (run->last - run->first) / 10;
    return run->mean_a > HIGH_IT * scene->asked->rated_ah && run->first > 0 && v > FALLEN * trace->v[early] &&
           trace->v[run->first - 1] >= PLATEAU_CELL_V * scene->asked->cells;
}

/* Nearly empty? A burst at the very end pulls the volts down whatever is left: then those before it count, the highest
 * of a few, since the last of them may have caught the burst. */
static bool is_low(const struct scene *scene, const struct run *run, size_t last, const struct ending *ended)
{
    const struct trace *trace = scene->trace;
    if (isfinite(ended->knee_s))
        return true;
    size_t k = last_of_base(scene, run, last);
    double v = ended->end_v.value;
    if (k < last) {
        v = trace->v[k];
        for (size_t back = 1; back < 3 && k - run->first >= back; back++)
            v = fmax(v, trace->v[k - back]);
    }
    if (scene->asked->cells > 0 && scene->asked->lithium_iron_phosphate)
        return v < LOW_CELL_V * scene->asked->cells && !only_sags(scene, run, v);
    return v < LOW_SHARE * trace->v[run->first + (run->last - run->first) / 2];
}

/* The current speaks for a BMS that opened far from empty: in a burst at the end, or a load of HIGH_IT and more. */
static bool tripped(const struct scene *scene, const struct run *run, size_t last)
{
    bool ends;
    return last_of_base(scene, run, last) < last || run->mean_a > HIGH_IT * scene->asked->rated_ah ||
           (burst_is(scene->findings, run->first_phase + run->phases - 1, &ends) && ends);
}

static void judge_discharge(const struct scene *scene, const struct run *run, const struct aftermath *after,
                            struct ending *ended)
{
    bool low = ended->low = is_low(scene, run, after->last, ended);
    bool pulse = run->phases == 1 && scene->findings->phases[run->first_phase].pulse;
    if (after->collapsed) {
        bool sure = low || tripped(scene, run, after->last);
        ended->by = sure ? ENDED_BMS : ENDED_CANNOT_TELL;
        say_stop(scene, after, ended);
        if (after->blank > 0 && after->low == 0)
            say(ended, "; then the meter showed nothing");
        else
            say(ended, "; then the volts collapsed to %.3g V", after->low_v);
        say(ended,
            low    ? ": the terminals were disconnected"
            : sure ? ": the terminals were disconnected, and not for an empty sample: current, heat or a fault"
                   : ": far from empty at a modest current, its BMS opened or somebody took the leads off");
    } else if (isnan(after->gap_s)) {
        ended->by = ENDED_LOG;
        say(ended, "the last reading still shows %.3g A at %.4g V", fabs(scene->trace->a[after->last]),
            ended->end_v.value);
        if (low)
            say(ended,
                "; the sample was nearly empty, and a meter that it feeds would have gone dark with it: "
                "a meter fed otherwise would tell");
    } else if (after->rest_first > after->rest_last && after->next != NULL) {
        ended->by = ENDED_BY_NEXT;
        say(ended, "a %s follows at once", run_kind_name(after->next->kind));
    } else if (after->rest_first > after->rest_last) {
        ended->by = ENDED_CANNOT_TELL;
        say(ended,
            "after %.3g A at %.4g V the log has no amps any more; whether current still flowed would tell",
            fabs(scene->trace->a[after->last]), ended->end_v.value);
    } else {
        say_stop(scene, after, ended);
        say(ended, "; the volts came back to %.4g V, so the terminals stayed live", after->high_v);
        bool again = after->next != NULL && (pulse || after->next->kind == RUN_DISCHARGE);
        bool bms_too = low && scene->asked->lithium_iron_phosphate && scene->asked->cells > 1 &&
                       ended->end_cell_v < BMS_CELL_V;
        ended->by = bms_too ? ENDED_CANNOT_TELL : low ? ENDED_LOAD : again ? ENDED_BY_NEXT : ENDED_OPERATOR;
        say(ended,
            bms_too ? ": the load's own limit, or a BMS with the voltmeter on the cells' side; the volts at "
                      "the load would tell"
            : low   ? ": a limit of the load, probably"
            : again ? "; the test went on"
                    : ": far from empty, somebody switched off");
    }
}

static void judge_charge(const struct scene *scene, const struct run *run, const struct aftermath *after,
                         struct ending *ended)
{
    const struct phase *last = &scene->findings->phases[run->first_phase + run->phases - 1];
    double end_a = fabs(scene->trace->a[after->last]), noise = scene->findings->noise_v;
    if (isnan(after->gap_s)) {
        ended->by = ENDED_LOG;
        say(ended, "the last reading still shows %.3g A going in", end_a);
    } else if (after->collapsed) {
        ended->by = ENDED_BMS;
        say(ended, "the volts collapsed to %.3g V when the charge stopped: the terminals were disconnected",
            after->low_v);
    } else if (after->first_v > ended->end_v.value + fmax(6 * noise, ended->end_v.value / 100)) {
        ended->by = ENDED_BMS;
        say(ended, "the volts jumped from %.4g to %.4g V as the current stopped: the charger lost its load",
            ended->end_v.value, after->first_v);
    } else if (last->mode == MODE_CONSTANT_VOLTAGE || end_a < run->peak_a / 2) {
        ended->by = ENDED_CHARGER;
        say(ended, "the current had tapered from %.3g to %.3g A at %.4g V", run->peak_a, end_a,
            ended->end_v.value);
    } else if (after->next != NULL && after->rest_first > after->rest_last) {
        ended->by = ENDED_BY_NEXT;
        say(ended, "%.3g A stopped at %.4g V; a %s follows at once", end_a, ended->end_v.value,
            run_kind_name(after->next->kind));
    } else if (scene->asked->lithium_iron_phosphate && ended->end_cell_v < KNEE_CELL_V) {
        ended->by = ENDED_OPERATOR;
        say(ended, "%.3g A stopped at %.4g V (%.3g V a cell), far from full, and the volts did not go up to the supply's limit, "
                   "as they would had the board opened: somebody switched off, or a timer", end_a, ended->end_v.value,
            ended->end_cell_v);
    } else {
        ended->by = ENDED_CANNOT_TELL;
        say(ended, "%.3g A stopped at %.4g V without a taper; what the charger showed then would tell", end_a,
            ended->end_v.value);
    }
}

static void judge(const struct scene *scene, size_t r, struct run *run)
{
    struct ending *ended = &run->ended;
    size_t last = last_under_load(scene, run);
    ended->end_v = end_volts(scene, run, last);
    ended->end_cell_v = scene->asked->cells > 0 ? ended->end_v.value / scene->asked->cells : NAN;
    struct aftermath after = look_after(scene, r, last, ended->end_v.value);
    if (run->kind == RUN_REST) {
        ended->by = after.next != NULL ? ENDED_BY_NEXT : ENDED_LOG;
        if (after.next != NULL)
            say(ended, "a %s follows", run_kind_name(after.next->kind));
        else
            say(ended, "the log ends at rest");
        return;
    }
    ended->dark = after.dark;
    if (!after.collapsed) {
        ended->recovery_v = after.high_v;
        ended->recovery_after_s = after.high_s;
    }
    if (run->kind == RUN_CHARGE) {
        judge_charge(scene, run, &after, ended);
        return;
    }
    ended->knee_s = knee_of(scene, run, last);
    ended->knee_minutes = (scene->trace->t_s[last] - ended->knee_s) / 60;
    judge_discharge(scene, run, &after, ended);
}

void endings_find(const struct series *series, const struct trace *trace, const struct rig *rig,
                  const struct asked *asked, struct findings *findings)
{
    double digit = accuracy_digit(&rig->of[CHANNEL_VOLTAGE], series->resolution[CHANNEL_VOLTAGE]);
    double digit_a = accuracy_digit(&rig->of[CHANNEL_CURRENT], series->resolution[CHANNEL_CURRENT]);
    struct scene scene = {series, trace, rig, asked, findings, digit, digit_a};
    for (size_t r = 0; r < findings->run_count; r++) {
        struct ending *ended = &findings->runs[r].ended;
        *ended = (struct ending){.end_cell_v = NAN,
                                 .recovery_v = NAN,
                                 .recovery_after_s = NAN,
                                 .knee_s = NAN,
                                 .knee_minutes = NAN};
        if (trace->v != NULL) {
            judge(&scene, r, &findings->runs[r]);
        } else {
            ended->end_v = measure_unknown("the log has no voltage");
            say(ended, "the log has no voltage to tell by");
        }
    }
}
