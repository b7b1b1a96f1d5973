#include "report/curve_model.h"

#include "base/memory.h"
#include "base/number.h"

#define LONE 3 /* so many readings far off all others do not set the scale */

struct span_of_values {
    double low, high;
    double least; /* lowest of all, when `low` leaves it out; NaN */
};

/* Lowest and highest; of a log's lowest no more than LONE readings are left out, when they lie off all others
 * by more than half of what those span. */
static struct span_of_values span_values(const double *y, size_t count, bool sparse)
{
    double least[LONE + 1], high = -INFINITY;
    for (int k = 0; k <= LONE; k++)
        least[k] = INFINITY;
    for (size_t k = 0; k < count; k++) {
        if (!isfinite(y[k]))
            continue;
        high = fmax(high, y[k]);
        double value = y[k];
        for (int j = 0; j <= LONE; j++)
            if (value < least[j]) {
                double other = least[j];
                least[j] = value;
                value = other;
            }
    }
    struct span_of_values span = {least[0], high, NAN};
    if (!sparse && isfinite(least[LONE]) && least[LONE] - least[0] > 0.5 * (high - least[LONE]) && high > least[LONE]) {
        span.low = least[LONE];
        span.least = least[0];
    }
    return span;
}

static void set_x(struct curve_model *model)
{
    const struct curve_data *d = &model->data;
    double from = d->x[0], to = d->x[d->count - 1], rated = model->findings->rated_ah.rated;
    if (d->along == CURVE_CHARGE && rated > to) {
        model->ends_short = rated > 1.6 * to;
        to = model->ends_short ? to : rated;
    }
    to = to > from ? to + 0.015 * (to - from) : from + 1;
    model->x = (struct curve_range){from, to};
    model->x_unit = d->along == CURVE_CHARGE ? "Ah" : d->along == CURVE_ORDER ? "in order" : "";
}

/* Says which lone reading the scale of the volts leaves out. */
static void note_lone(struct curve_model *model, double least_v)
{
    const struct curve_data *d = &model->data;
    for (size_t k = 0; !isnan(least_v) && k < d->count; k++) {
        if (!(d->v[k] <= least_v))
            continue;
        model->lone = (struct curve_note){.x = d->x[k], .y = d->v[k], .t_s = d->t_s[k]};
        snprintf(model->lone.words, sizeof model->lone.words, "a lone reading of %.3g V", d->v[k]);
        return;
    }
}

static void set_ranges(struct curve_model *model)
{
    const struct curve_data *d = &model->data;
    struct span_of_values v = span_values(d->v, d->count, d->sparse), a = span_values(d->a, d->count, d->sparse);
    double spare = v.high > v.low ? 0.05 * (v.high - v.low) : 0.5;
    if (!d->has_volts)
        v = (struct span_of_values){0, 1, NAN};
    if (!d->has_amps)
        a = (struct span_of_values){0, 1, NAN};
    double low_a = isnan(a.least) ? a.low : a.least, high_a = a.high > low_a ? a.high : low_a + 1;
    low_a = low_a < -0.05 * fabs(high_a) ? low_a : 0; /* a meter's offset at rest needs no scale below zero */
    double room_a = 0.08 * (high_a - low_a);
    low_a -= low_a < 0 ? room_a : 0;
    model->volts = (struct curve_range){v.low - spare, v.high + spare};
    model->amps = (struct curve_range){low_a, high_a + room_a};
    note_lone(model, v.least);
}

static void note_bursts(struct curve_model *model)
{
    const struct findings *f = model->findings;
    model->bursts = memory_get((f->burst_count + 1) * sizeof *model->bursts);
    for (size_t k = 0; k < f->burst_count; k++) {
        const struct burst *b = &f->bursts[k];
        struct curve_burst *burst = &model->bursts[k];
        char time[32], wh[64];
        burst->from = curve_data_at(&model->data, b->start_s);
        burst->to = curve_data_at(&model->data, b->end_s);
        number_print_duration(b->end_s - b->start_s, time, sizeof time);
        snprintf(burst->words, sizeof burst->words, "burst: %.3g A for %s", b->current_a, time);
        if (!measure_known(&b->cost_wh))
            continue;
        bool no_charge = isfinite(b->charge_bound_ah) && b->charge_bound_ah < 0.01 * f->test_ah.value;
        measure_print(&b->cost_wh, "Wh", wh, sizeof wh);
        snprintf(burst->cost, sizeof burst->cost, "cost %s%s", wh, no_charge ? "; next to no charge" : "");
    }
}

static void note_rated(struct curve_model *model)
{
    const struct crossing *rated = &model->findings->rated_ah;
    char time[32];
    if (isnan(rated->rated) || model->data.along != CURVE_CHARGE)
        return;
    model->rated = (struct curve_note){.x = rated->rated, .y = NAN, .t_s = NAN};
    number_print_duration(rated->at_s.value, time, sizeof time);
    if (rated->reached && measure_known(&rated->at_s)) {
        model->rated.t_s = model->findings->test_start_s + rated->at_s.value;
        snprintf(model->rated.words, sizeof model->rated.words, "rated %.4g Ah passed at %s", rated->rated, time);
    } else {
        snprintf(model->rated.words, sizeof model->rated.words, "rated %.4g Ah %s%s", rated->rated,
                 rated->reached ? "passed" : "not reached", model->ends_short ? " →" : "");
    }
}

/* The last point that has volts. */
static size_t last_volts(const struct curve_data *data)
{
    size_t last = data->count - 1;
    while (last > 0 && isnan(data->v[last]))
        last--;
    return last;
}

static void note_end(struct curve_model *model)
{
    const struct ending *end = &model->findings->runs[model->findings->test_last_run].ended;
    const struct curve_data *d = &model->data;
    size_t last = last_volts(d);
    double v = measure_known(&end->end_v) ? end->end_v.value : d->v[last], last_v = d->v[last];
    model->last_v = last_v;
    if (isnan(v))
        return;
    struct text words = TEXT_EMPTY;
    text_addf(&words, "%s at %.2f V", end->by == ENDED_CANNOT_TELL ? "ended" : ended_by_name(end->by), v);
    if (d->fell_to_v < model->volts.from) {
        model->after = AFTER_FELL;
        text_addf(&words, ", then fell to %.2g V", d->fell_to_v);
    } else if (end->recovery_v > last_v && end->recovery_v <= model->volts.to) {
        char time[32];
        model->after = AFTER_CAME_BACK;
        number_print_duration(end->recovery_after_s, time, sizeof time);
        text_addf(&words, ", back to %.2f V after %s", end->recovery_v, time);
    }
    model->end = (struct curve_note){.x = d->x[last], .y = v, .t_s = d->t_s[last]};
    span_copy(span_of(words.s), model->end.words, sizeof model->end.words);
    text_free(&words);
}

static void name_curves(struct curve_model *model)
{
    const struct load_finding *load = &model->findings->load;
    snprintf(model->volts_name, sizeof model->volts_name, "%s", model->data.sparse ? "volts, as read" : "volts under load");
    if (load->law == LOAD_POWER && isfinite(load->level))
        snprintf(model->amps_name, sizeof model->amps_name, "amps, climbing: the load holds %.3g W", load->level);
    else
        snprintf(model->amps_name, sizeof model->amps_name, "%s",
                 load->law == LOAD_CURRENT      ? "amps, held by the load"
                 : load->law == LOAD_RESISTANCE ? "amps, falling with the volts"
                                                : "amps");
}

bool curve_model_make(const struct record *record, struct curve_model *ret_model)
{
    *ret_model = (struct curve_model){.findings = &record->findings};
    if (!curve_data_make(record, &ret_model->data))
        return false;
    if (!ret_model->data.has_volts && !ret_model->data.has_amps) {
        curve_data_free(&ret_model->data);
        return false;
    }
    set_ranges(ret_model);
    set_x(ret_model);
    note_bursts(ret_model);
    note_rated(ret_model);
    note_end(ret_model);
    name_curves(ret_model);
    return true;
}

void curve_model_free(struct curve_model *model)
{
    curve_data_free(&model->data);
    free(model->bursts);
    *model = (struct curve_model){0};
}

const char *curve_phase_name(const struct phase *phase)
{
    return phase->pulse ? "burst" : phase_mode_name(phase->mode);
}

bool curve_phase_shown(const struct findings *findings, const struct phase *phase)
{
    return phase->run >= findings->test_first_run && phase->run <= findings->test_last_run;
}

static json_t *range_json(struct curve_range range)
{
    json_t *o = json_array();
    json_array_append_new(o, json_number(range.from));
    json_array_append_new(o, json_number(range.to));
    return o;
}

static void put_note(json_t *o, const char *key, const struct curve_note *note)
{
    if (note->words[0] == '\0')
        return;
    json_t *at = json_object();
    json_put(at, "x", json_number(note->x));
    json_put(at, "v", json_number(note->y));
    json_put(at, "t_s", json_number(note->t_s));
    json_put_words(at, "words", note->words);
    json_put(o, key, at);
}

static json_t *phases_json(const struct curve_model *model)
{
    json_t *all = json_array();
    const struct findings *f = model->findings;
    for (size_t k = 0; k < f->phase_count; k++) {
        const struct phase *phase = &f->phases[k];
        json_t *o = json_object();
        bool shown = curve_phase_shown(f, phase);
        json_put(o, "from_s", json_number(phase->start_s));
        json_put(o, "to_s", json_number(phase->end_s));
        json_put(o, "from", json_number(shown ? curve_data_at(&model->data, phase->start_s) : NAN));
        json_put(o, "to", json_number(shown ? curve_data_at(&model->data, phase->end_s) : NAN));
        json_put_words(o, "name", curve_phase_name(phase));
        json_put_words(o, "kind", run_kind_name(phase->kind));
        json_put(o, "in_test", json_boolean(shown));
        json_array_append_new(all, o);
    }
    return all;
}

static json_t *marks_json(const struct curve_data *data)
{
    json_t *all = json_array();
    for (size_t k = 0; k < data->mark_count; k++) {
        json_t *o = json_object();
        json_put(o, "x", json_number(data->marks[k].x));
        json_put(o, "t_s", json_number(data->marks[k].t_s));
        json_put_words(o, "words", data->marks[k].words);
        json_array_append_new(all, o);
    }
    return all;
}

static json_t *bursts_json(const struct curve_model *model)
{
    json_t *all = json_array();
    for (size_t k = 0; k < model->findings->burst_count; k++) {
        json_t *o = json_object();
        json_put(o, "from_s", json_number(model->findings->bursts[k].start_s));
        json_put(o, "to_s", json_number(model->findings->bursts[k].end_s));
        json_put(o, "from", json_number(model->bursts[k].from));
        json_put(o, "to", json_number(model->bursts[k].to));
        json_put_words(o, "words", model->bursts[k].words);
        json_put_words(o, "cost", model->bursts[k].cost);
        json_array_append_new(all, o);
    }
    return all;
}

json_t *json_curve_model(const struct curve_model *model)
{
    static const char *const along[] = {"charge", "time", "order"};
    json_t *o = json_object();
    json_put_words(o, "along", along[model->data.along]);
    json_put_words(o, "x_unit", model->x_unit);
    json_put(o, "x", range_json(model->x));
    json_put(o, "volts", range_json(model->volts));
    json_put(o, "amps", range_json(model->amps));
    json_put_words(o, "volts_name", model->volts_name);
    json_put_words(o, "amps_name", model->amps_name);
    json_put(o, "sparse", json_boolean(model->data.sparse));
    json_put(o, "test_start_s", json_number(model->findings->test_start_s));
    json_put(o, "test_end_s", json_number(model->findings->test_end_s));
    json_put(o, "phases", phases_json(model));
    json_put(o, "marks", marks_json(&model->data));
    json_put(o, "marks_left_out", json_integer((json_int_t)model->data.marks_left_out));
    json_put(o, "bursts", bursts_json(model));
    put_note(o, "rated", &model->rated);
    put_note(o, "end", &model->end);
    put_note(o, "lone", &model->lone);
    return o;
}
