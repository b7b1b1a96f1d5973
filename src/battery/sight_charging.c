#include "battery/sight_charging.h"

#include "base/memory.h"

/* Columns of the sights first…last. */
struct columns {
    double *t_s, *v, *a;
    size_t count;
    bool timed;
};

static struct columns columns_of(const struct course *course, size_t first, size_t last, double from_s)
{
    size_t n = last - first + 1;
    double *room = memory_get(3 * n * sizeof *room);
    struct columns c = {.t_s = room, .v = room + n, .a = room + 2 * n, .count = n, .timed = true};
    for (size_t k = 0; k < n; k++) {
        const struct sight *sight = &course->sight[first + k];
        c.t_s[k] = sight->at_s - from_s;
        c.v[k] = sight->of[CHANNEL_VOLTAGE].value;
        c.a[k] = sight->amps.value;
        c.timed &= !isnan(sight->t_s) && sight->clock == course->sight[first].clock;
    }
    return c;
}

/* The digit and the words of the last reading of a channel, which a part's end is taken from. */
static void take_meters(const struct course *course, const struct run *run, struct charge_meters *m)
{
    for (size_t k = run->last + 1; k-- > run->first;) {
        const struct seen *v = &course->sight[k].of[CHANNEL_VOLTAGE], *a = &course->sight[k].amps;
        if (is_seen(v) && isnan(m->noise_v))
            m->digit_v = v->digit, m->noise_v = seen_half(v) / sqrt(3);
        if (is_seen(a) && isnan(m->noise_a))
            m->digit_a = a->digit, m->noise_a = seen_half(a) / sqrt(3);
    }
}

/* The line in which somebody wrote that it was full, by the end of the charge or before anything flowed again; 0: none. */
static long said_full(const struct course *course, const struct run *run)
{
    for (size_t k = run->first; k < course->sight_count; k++) {
        const struct sight *sight = &course->sight[k];
        if (k > run->last && (sight->state == STATE_DISCHARGE || sight->state == STATE_CHARGE))
            break;
        if (sight->says & SAYS_FULL)
            return course->sightings->instants[sight->instant].line;
    }
    return 0;
}

static struct charging find_charging(const struct course *course, size_t r)
{
    const struct run *run = &course->findings->runs[r];
    struct columns c = columns_of(course, run->first, run->last, 0);
    struct charge_meters meters = {.rig = course->rig, .noise_v = NAN, .noise_a = NAN};
    take_meters(course, run, &meters);
    struct charge_readings readings = {c.t_s, c.v, c.a, c.count, true};
    struct charging charging = charging_of(&readings, &meters, course->asked, course->findings, r);
    if (!c.timed)
        charging.highest_held_s = NAN;
    long line = said_full(course, run);
    if (charging.full == FULL_CANNOT_TELL && line != 0) {
        char words[160];
        snprintf(words, sizeof words, "%s", charging.full_words);
        snprintf(charging.full_words, sizeof charging.full_words,
                 "line %ld says that it was full; by the readings alone one cannot tell: %s", line, words);
        charging.full = FULL_SHOWN;
    }
    snprintf(charging.balancing_words, sizeof charging.balancing_words,
             "readings by eye are too far apart for it; volts of each group would tell");
    free(c.t_s);
    return charging;
}

void sight_chargings(struct course *course)
{
    struct findings *f = course->findings;
    f->chargings = memory_get(CHARGINGS * sizeof *f->chargings);
    for (size_t r = 0; r < f->run_count && f->charging_count < CHARGINGS; r++)
        if (f->runs[r].kind == RUN_CHARGE)
            f->chargings[f->charging_count++] = find_charging(course, r);
}

/* The run that ended before a sight; NULL when nothing flowed before. */
static const struct run *run_before(const struct findings *f, size_t sight)
{
    const struct run *before = NULL;
    for (size_t r = 0; r < f->run_count && f->runs[r].last < sight; r++)
        before = &f->runs[r];
    return before;
}

static void keep_rest(struct course *course, size_t first, size_t last)
{
    struct findings *f = course->findings;
    const struct run *before = run_before(f, first);
    double from_s = before != NULL ? before->end_s : course->sight[first].at_s;
    struct columns c = columns_of(course, first, last, from_s);
    double digit = 0;
    size_t volts = 0; /* those that hold volts, moved to the front */
    for (size_t k = 0; k < c.count; k++) {
        if (isnan(c.v[k]))
            continue;
        c.t_s[volts] = c.t_s[k], c.v[volts++] = c.v[k];
        digit = course->sight[first + k].of[CHANNEL_VOLTAGE].digit;
    }
    if (c.timed && volts > 0 && c.t_s[volts - 1] >= RESTS_LEAST_S) {
        struct resting *r = &f->restings[f->resting_count++];
        *r = (struct resting){.run = SIZE_MAX, .from_s = from_s};
        r->after_charge = before != NULL && before->kind == RUN_CHARGE;
        r->after_discharge = before != NULL && before->kind == RUN_DISCHARGE;
        resting_of(c.t_s, c.v, volts, course->rig, digit, course->asked, r);
    }
    free(c.t_s);
}

void sight_restings(struct course *course)
{
    struct findings *f = course->findings;
    f->restings = memory_get(RESTINGS * sizeof *f->restings);
    for (size_t k = 0; k < course->sight_count && f->resting_count < RESTINGS; k++) {
        size_t first = k;
        while (k < course->sight_count && course->sight[k].state == STATE_REST)
            k++;
        if (k > first)
            keep_rest(course, first, k - 1);
    }
}
