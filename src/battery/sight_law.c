#include "battery/sight_law.h"

#include "base/memory.h"
#include "numeric/budget.h"
#include "numeric/distribution.h"

double sight_volts_factor(const struct course *course, size_t node, double n)
{
    double v = course->volts[node].value;
    return v > 0 ? pow(v, n) : 1;
}

/* One reading of the load at a node: magnitude and relative standard uncertainty under law n. */
struct load_reading {
    double amps, u;
};

static bool read_load(const struct course *course, size_t node, double n, struct load_reading *ret)
{
    const struct seen *amps = &course_node(course, node)->amps, *volts = &course->volts[node];
    if (!is_seen(amps) || course->findings->phases[course->phase_of[node]].kind == RUN_REST || amps->value == 0)
        return false;
    double half = fmax(seen_half(amps), amps->digit / 2) / fabs(amps->value);
    double half_v = volts->value > 0 ? fmax(seen_half(volts), volts->digit / 2) / volts->value : 0;
    double u = hypot(half, n * half_v) / sqrt(3);
    *ret = (struct load_reading){fabs(amps->value), u > 0 ? u : 1e-6}; /* typed as exact */
    return true;
}

/* Weighted sums of a class. */
struct pool {
    double w, x, y, xx, xy, yy;
    size_t n;
};

static struct pool pool_class(const struct course *course, size_t class)
{
    struct pool pool = {0};
    for (size_t k = 0; k < course->node_count; k++) {
        struct load_reading load;
        if (course->class_of[course->phase_of[k]] != class || !(course->volts[k].value > 0) ||
            !read_load(course, k, 1, &load))
            continue;
        double w = 1 / (load.u * load.u), x = log(course->volts[k].value), y = log(load.amps);
        pool.n++;
        pool.w += w;
        pool.x += w * x;
        pool.y += w * y;
        pool.xx += w * x * x;
        pool.xy += w * x * y;
        pool.yy += w * y * y;
    }
    return pool;
}

static struct measure find_exponent(const struct course *course)
{
    double sxx = 0, sxy = 0, syy = 0, dof = -1;
    for (size_t c = 0; c < course->class_count; c++) {
        struct pool pool = pool_class(course, c);
        if (pool.n < 2)
            continue;
        sxx += pool.xx - pool.x * pool.x / pool.w;
        sxy += pool.xy - pool.x * pool.y / pool.w;
        syy += pool.yy - pool.y * pool.y / pool.w;
        dof += (double)pool.n - 1;
    }
    if (dof < 0)
        return measure_unknown("fewer than two readings of volts and amps under one load");
    if (!(sxx > 0))
        return measure_unknown("the volts did not move while one load stood");
    double n = sxy / sxx, scatter = dof > 0 ? fmax(0, syy - n * sxy) / dof : 0;
    struct measure exponent = measure_of(n);
    measure_part(&exponent, (struct part){CAUSE_FIT, SHAPE_NORMAL, sqrt(fmax(1, scatter) / sxx),
                                          scatter > 1 ? dof : INFINITY, 0, "readings of volts and amps",
                                          "readings over a wider span of volts"});
    budget_close(&exponent);
    return exponent;
}

static const double exponents[] = {-1, 0, 1};
static const enum load_law laws[] = {LOAD_POWER, LOAD_CURRENT, LOAD_RESISTANCE};
static const char *const law_names[] = {"constant power", "constant current", "constant resistance"};

static bool allows(const struct measure *exponent, double n)
{
    if (!measure_known(exponent))
        return true;
    return n >= exponent->lo - LAW_SLACK && n <= exponent->hi + LAW_SLACK;
}

static int position_of(enum load_law law)
{
    for (int k = 0; k < LAWS; k++)
        if (laws[k] == law)
            return k;
    return -1;
}

static void choose(struct course *course)
{
    struct load_finding *load = &course->findings->load;
    enum load_law stated = course->asked->law != LOAD_UNKNOWN ? course->asked->law : course->sightings->law;
    int stands = position_of(stated), allowed = 0, one = -1;
    for (int k = 0; k < LAWS; k++)
        if (allows(&load->exponent, exponents[k]))
            allowed++, one = k;
    if (stands >= 0 && !allows(&load->exponent, exponents[stands]))
        notices_add(course->notices, "load law", 0,
                    "The load is stated as %s, but the readings follow I ~ V^%.2f.", law_names[stands],
                    load->exponent.value);
    stands = stands >= 0 ? stands : allowed == 1 ? one : -1;
    course->laws = 0;
    for (int k = 0; k < LAWS; k++) {
        bool counts = stands >= 0 ? k == stands : allowed == 0 || allows(&load->exponent, exponents[k]);
        if (counts)
            course->exponent[course->laws++] = exponents[k];
    }
    load->law = stands >= 0 ? laws[stands] : LOAD_UNKNOWN;
    if (stands >= 0)
        snprintf(load->words, sizeof load->words, "%s, %s", law_names[stands],
                 stated != LOAD_UNKNOWN ? "as stated" : "as the readings show");
    else
        snprintf(load->words, sizeof load->words, "%s",
                 allowed == 0 ? "none of constant power, current or resistance"
                              : "the readings do not single out a law; what the laws disagree in is part of "
                                "every result");
}

/* Weighted mean and wander of ln k over the class. */
static const char *fit_level(const struct course *course, size_t class, double n, struct level *ret_level)
{
    double w1 = 0, w2 = 0, sum = 0, square = 0, count = 0;
    bool open = false;
    for (size_t k = 0; k < course->node_count; k++) {
        struct load_reading load;
        if (course->class_of[course->phase_of[k]] != class)
            continue;
        if (!read_load(course, k, n, &load)) {
            open |= !isnan(course_node(course, k)->amps.lo);
            continue;
        }
        double w = 1 / (load.u * load.u), y = log(load.amps / sight_volts_factor(course, k, n));
        w1 += w;
        w2 += w * w;
        sum += w * y;
        square += w * y * y;
        count++;
    }
    if (count == 0)
        return open ? "its current was only seen to lie beyond a bound" : "its current was not read";
    double mean = sum / w1, chi2 = fmax(0, square - sum * mean);
    double between = count > 1 ? fmax(0, (chi2 - (count - 1)) / (w1 - w2 / w1)) : 0;
    *ret_level = (struct level){exp(mean), 1 / sqrt(w1), sqrt(between)};
    return NULL;
}

/* Where no amps were read: what a tally gained while one clock ran under the load, over V^n. */
static bool level_from_tally(const struct course *course, size_t class, enum channel tally, double n,
                             struct level *ret_level)
{
    double gain = 0, span = 0, open2 = 0, power = tally == CHANNEL_ENERGY_TALLY ? n + 1 : n;
    size_t last = SIZE_MAX;
    for (size_t k = 0; k < course->node_count; k++) {
        const struct sight *sight = course_node(course, k);
        const struct seen *seen = &sight->of[tally];
        if (course->class_of[course->phase_of[k]] != class || !is_seen(seen) || sight->clock < 0)
            continue;
        const struct sight *before = last != SIZE_MAX ? course_node(course, last) : NULL;
        if (before != NULL && before->clock == sight->clock && course->phase_of[last] == course->phase_of[k]) {
            gain += fabs(seen->value - before->of[tally].value) * 3600;
            span += (sight->t_s - before->t_s) *
                    (sight_volts_factor(course, last, power) + sight_volts_factor(course, k, power)) / 2;
            open2 += (pow(seen_half(seen), 2) + pow(seen_half(&before->of[tally]), 2)) / 3 * 3600 * 3600;
        }
        last = k;
    }
    if (!(gain > 0) || !(span > 0))
        return false;
    *ret_level = (struct level){gain / span, sqrt(open2) / gain, 0};
    return true;
}

static void find_level(struct course *course, size_t class, int law)
{
    struct load_class *load = &course->load[class];
    double n = course->exponent[law];
    load->unknown = fit_level(course, class, n, &load->level[law]);
    if (load->unknown == NULL)
        return;
    load->from_tally = level_from_tally(course, class, CHANNEL_CHARGE_TALLY, n, &load->level[law]) ||
                       level_from_tally(course, class, CHANNEL_ENERGY_TALLY, n, &load->level[law]);
    if (load->from_tally)
        load->unknown = NULL;
}

double sight_level_at(const struct course *course, size_t node, int law)
{
    const struct level *level = &course->load[course->class_of[course->phase_of[node]]].level[law];
    struct load_reading load;
    double n = course->exponent[law];
    if (level->wander == 0 || !read_load(course, node, n, &load))
        return level->k;
    double own = log(load.amps / sight_volts_factor(course, node, n)), mean = log(level->k);
    double share = 1 / (1 + pow(load.u / level->wander, 2));
    return exp(share * own + (1 - share) * mean);
}

void sight_laws(struct course *course)
{
    course->findings->load.exponent = find_exponent(course);
    choose(course);
    course->load = memory_get((course->class_count + 1) * sizeof *course->load);
    for (size_t c = 0; c < course->class_count; c++)
        for (int l = 0; l < course->laws; l++)
            find_level(course, c, l);
}
