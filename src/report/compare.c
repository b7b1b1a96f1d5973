#include "report/compare.h"

#include "claims/rules.h"
#include "draw/layout.h"
#include "draw/raster.h"
#include "draw/svg.h"
#include "report/compare_parts.h"
#include "report/json.h"
#include "report/json_parts.h"
#include "report/opened_json.h"

#define PIXELS 2.0        /* of a PNG, a unit */
#define HEIGHT_SHARE 0.5  /* of the width */
#define LEAST_HEIGHT 330.0

const char *const compare_words[COMPARE_FIGURES + 1] = {"curves", "price", "mass", "volume", "resistance", "verdicts", NULL};
const char *const compare_titles[COMPARE_FIGURES] = {
    "Discharge curves", "Delivered energy against price", "Delivered energy against mass",
    "Delivered energy against volume", "Direct-current resistance", "Verdicts"};

bool compare_add(struct compare *compare, int64_t sample, const char *name, const struct assessment *assessment)
{
    if (compare->count == COMPARED_MOST)
        return false;
    struct compared *one = &compare->items[compare->count++];
    *one = (struct compared){.sample = sample, .assessment = assessment};
    span_copy(span_of(name), one->name, sizeof one->name);
    shelf_entry_of(assessment, &one->entry);
    return true;
}

void compare_free(struct compare *compare)
{
    for (size_t k = 0; k < compare->count; k++)
        shelf_entry_free(&compare->items[k].entry);
    compare->count = 0;
}

static double rate_of(const struct compared *one)
{
    return one->entry.main != NULL ? one->entry.main->findings.test_mean_a / one->entry.rated_ah : NAN;
}

static double degc_of(const struct compared *one)
{
    return one->entry.main != NULL ? one->entry.main->findings.test_degc : NAN;
}

/* Of the tested ones: those with the least and the most of it, and who does not say. */
struct extremes {
    const struct compared *least, *most, *silent;
};

static struct extremes extremes_of(const struct compare *compare, double (*of)(const struct compared *one))
{
    struct extremes e = {NULL, NULL, NULL};
    for (size_t k = 0; k < compare->count; k++) {
        const struct compared *one = &compare->items[k];
        double value = of(one);
        if (one->entry.main != NULL && !isfinite(value))
            e.silent = one;
        if (!isfinite(value))
            continue;
        e.least = e.least == NULL || value < of(e.least) ? one : e.least;
        e.most = e.most == NULL || value > of(e.most) ? one : e.most;
    }
    return e;
}

static void say_rate(const struct compare *compare, struct notices *notices)
{
    struct extremes e = extremes_of(compare, rate_of);
    if (e.silent != NULL)
        notices_add(notices, "conditions", 0, "At which multiple of its rating %s was discharged is not known.", e.silent->name);
    if (e.least == NULL || rate_of(e.most) <= rate_of(e.least) * (1 + effect_rate_same))
        return;
    double effect = pow(rate_of(e.most) / rate_of(e.least), effect_exponent_most - 1) - 1;
    notices_add(notices, "conditions", 0,
                "Not discharged alike: %s at %.2g It, %s at %.2g It. That alone can take up to %.1f %% off the charge of the "
                "faster.",
                e.least->name, rate_of(e.least), e.most->name, rate_of(e.most), 100 * effect);
}

static void say_warmth(const struct compare *compare, struct notices *notices)
{
    struct extremes e = extremes_of(compare, degc_of);
    if (e.silent != NULL)
        notices_add(notices, "conditions", 0, "How warm %s was during its test is not known.", e.silent->name);
    if (e.least == NULL || degc_of(e.most) - degc_of(e.least) <= effect_kelvin_same)
        return;
    notices_add(notices, "conditions", 0,
                "Not equally warm: %s at %.0f °C, %s at %.0f °C. That alone can take up to %.0f %% off the charge of the colder.",
                e.least->name, degc_of(e.least), e.most->name, degc_of(e.most),
                100 * effect_per_kelvin_most * (degc_of(e.most) - degc_of(e.least)));
}

static const struct ending *ending_of(const struct compared *one)
{
    const struct findings *f = one->entry.main != NULL ? &one->entry.main->findings : NULL;
    return f != NULL ? &f->runs[f->test_last_run].ended : NULL;
}

static void say_endings(const struct compare *compare, struct notices *notices)
{
    const struct compared *first = NULL, *other = NULL;
    for (size_t k = 0; k < compare->count; k++) {
        const struct compared *one = &compare->items[k];
        if (ending_of(one) == NULL)
            continue;
        first = first == NULL ? one : first;
        other = ending_of(one)->by != ending_of(first)->by ? one : other;
    }
    if (other != NULL)
        notices_add(notices, "conditions", 0, "Not ended alike: %s: %s; %s: %s. What was left in them is not known.", first->name,
                    ended_by_name(ending_of(first)->by), other->name, ended_by_name(ending_of(other)->by));
}

void compare_conditions(const struct compare *compare, struct notices *notices)
{
    say_rate(compare, notices);
    say_warmth(compare, notices);
    say_endings(compare, notices);
}

struct stroke compare_stroke(size_t sample, double width)
{
    static const enum ink inks[] = {INK_FIRST, INK_SECOND, INK_MAIN, INK_SOFT};
    static const enum line lines[] = {LINE_SOLID, LINE_DASHED, LINE_DOTTED};
    return (struct stroke){inks[sample % 4], width, lines[sample / 4 % 3]};
}

void absent_add(struct absent *absent, const char *name, const char *why)
{
    text_addf(&absent->words, "%s%s: %s", absent->words.length > 0 ? "; " : "Not shown: ", name, why);
}

void absent_draw(struct absent *absent, const struct compare *compare, struct figure *figure)
{
    const struct lettering letters = {.role = ROLE_SMALL, .ink = INK_SOFT};
    bool invented = false;
    for (size_t k = 0; k < compare->count; k++)
        invented = invented || compare->items[k].assessment->invented;
    if (invented)
        text_addf(&absent->words, "%sInvented data.", absent->words.length > 0 ? ". " : "");
    if (absent->words.length > 0) {
        double y = figure->height + layout_leading(ROLE_SMALL);
        size_t lines = layout_text(figure, 0, y, letters, figure->width, 20, text_string(&absent->words));
        figure->height = y + (double)lines * layout_leading(ROLE_SMALL) - 8;
    }
    text_free(&absent->words);
}

void compare_figure(const struct compare *compare, enum compare_figure which, double width, struct figure *ret_figure)
{
    double height = fmax(HEIGHT_SHARE * width, LEAST_HEIGHT);
    switch (which) {
    case COMPARE_CURVES: compare_curves(compare, width, height, ret_figure); break;
    case COMPARE_RESISTANCE: compare_resistance(compare, width, ret_figure); break;
    case COMPARE_VERDICTS: compare_verdicts(compare, width, ret_figure); break;
    default: compare_scatter(compare, which, width, height, ret_figure);
    }
}

enum status compare_picture(const struct compare *compare, enum compare_figure which, enum picture_form form, double width,
                            struct text *ret_picture, struct message *message)
{
    struct figure figure;
    struct text picture = TEXT_EMPTY;
    enum status status = STATUS_OK;
    compare_figure(compare, which, width, &figure);
    if (form == PICTURE_PNG)
        status = raster_render(&figure, PIXELS, &picture, message);
    else if (form == PICTURE_SVG)
        svg_add_document(&figure, &picture);
    else
        svg_add(&figure, compare_words[which], &picture);
    figure_free(&figure);
    if (status == STATUS_OK)
        *ret_picture = picture;
    return status;
}

static json_t *test_json(const struct compared *one)
{
    const struct findings *f = &one->entry.main->findings;
    json_t *o = json_object();
    json_put(o, "mean_a", json_number(f->test_mean_a));
    json_put(o, "rate_it", json_number(rate_of(one)));
    json_put(o, "mean_degc", json_number(f->test_degc));
    json_put(o, "duration_s", json_number(f->test_duration_s.value));
    json_put_words(o, "ended_by", ended_by_name(ending_of(one)->by));
    json_put(o, "end_v", json_number(ending_of(one)->end_v.value));
    return o;
}

static bool was_opened(const struct compared *one)
{
    return one->assessment->has_opened && one->assessment->opened.count > 0;
}

bool compare_likeness(const struct compare *compare, size_t number, size_t *ret_first, size_t *ret_second,
                      struct likeness *ret_likeness)
{
    size_t first = 0, second;
    while (first < compare->count && !was_opened(&compare->items[first]))
        first++;
    for (second = first + 1; second < compare->count; second++)
        if (was_opened(&compare->items[second]) && number-- == 0)
            break;
    if (second >= compare->count)
        return false;
    *ret_first = first;
    *ret_second = second;
    likeness_find(&compare->items[first].assessment->opened, &compare->items[second].assessment->opened, ret_likeness);
    return true;
}

static json_t *likenesses_json(const struct compare *compare)
{
    json_t *all = json_array();
    struct likeness likeness;
    size_t first, second;
    for (size_t k = 0; compare_likeness(compare, k, &first, &second, &likeness); k++) {
        json_t *o = likeness_json(&likeness);
        json_put(o, "first", json_integer(compare->items[first].sample));
        json_put(o, "second", json_integer(compare->items[second].sample));
        json_array_append_new(all, o);
        likeness_free(&likeness);
    }
    return all;
}

void compare_json(const struct compare *compare, struct text *text)
{
    json_t *o = json_object(), *samples = json_array(), *conditions = json_array();
    struct notices notices = {0};
    json_head(o);
    for (size_t k = 0; k < compare->count; k++) {
        const struct compared *one = &compare->items[k];
        json_t *item = shelf_entry_json(one->assessment, &one->entry);
        json_put(item, "sample", json_integer(one->sample));
        json_put_words(item, "name", one->name);
        if (one->entry.main != NULL)
            json_put(item, "test", test_json(one));
        json_array_append_new(samples, item);
    }
    compare_conditions(compare, &notices);
    for (size_t k = 0; k < notices.count; k++)
        json_array_append_new(conditions, json_words(notices.items[k].text));
    notices_free(&notices);
    json_put(o, "samples", samples);
    json_put(o, "conditions", conditions);
    json_put(o, "likeness", likenesses_json(compare));
    json_finish(o, text);
}
