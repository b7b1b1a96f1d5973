#include "claims/paper_taken.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "base/number.h"
#include "intake/ini.h"

/* A reading of a 12.8 V pack under a usual load, at which an accuracy is shown as a bound. */
static const double usual[CHANNELS] = {
    [CHANNEL_VOLTAGE] = 12.8,    [CHANNEL_CURRENT] = 20,      [CHANNEL_POWER] = 250,        [CHANNEL_TEMPERATURE] = 25,
    [CHANNEL_AMBIENT] = 20, [CHANNEL_CHARGE_TALLY] = 100, [CHANNEL_ENERGY_TALLY] = 1280,
};

void paper_add_line(struct paper_check *check, long line, const char *kind, struct text *taken)
{
    check->lines = memory_grow(check->lines, check->line_count, &check->line_capacity);
    check->lines[check->line_count++] = (struct paper_line){line, kind, memory_copy_string(text_string(taken))};
    text_free(taken);
}

static void add_plain(struct paper_check *check, long line, const char *kind)
{
    struct text none = TEXT_EMPTY;
    paper_add_line(check, line, kind, &none);
}

/* Remarks and section heads, which the readers do not hand on. */
static void add_frame(struct span text, const char *remark_signs, bool sections, struct paper_check *check)
{
    long number = 0;
    for (struct span rest = text; rest.n > 0;) {
        const char *end = memchr(rest.p, '\n', rest.n);
        size_t n = end != NULL ? (size_t)(end - rest.p) : rest.n, used = n + (end != NULL);
        struct span line = span_trim((struct span){rest.p, n});
        rest = (struct span){rest.p + used, rest.n - used};
        number++;
        if (line.n > 0 && strchr(remark_signs, line.p[0]) != NULL)
            add_plain(check, number, "remark");
        else if (line.n > 0 && sections && line.p[0] == '[')
            add_plain(check, number, "section");
    }
}

static void add_amount(struct text *text, double value, double half, enum quantity quantity)
{
    char number[40], bound[40];
    double factor;
    const char *symbol = quantity_shown(quantity, &factor);
    number_print(value * factor, half > 0 ? half * factor : NAN, number, sizeof number);
    text_addf(text, "%s", number);
    if (half > 0) {
        number_print(half * factor, half * factor, bound, sizeof bound);
        text_addf(text, " ± %s", bound);
    }
    text_addf(text, "%s%s", symbol[0] != '\0' ? " " : "", symbol);
}

static const struct claim *claim_at(const struct label *label, long line)
{
    for (size_t k = 0; k < label->claim_count; k++)
        if (label->claims[k].line == line)
            return &label->claims[k];
    return NULL;
}

static void add_conditions(struct text *text, const struct claim *claim)
{
    if (!isnan(claim->rate_it))
        text_addf(text, ", at %.3g It", claim->rate_it);
    if (!isnan(claim->degc))
        text_addf(text, ", at %.4g °C", claim->degc);
    if (!isnan(claim->cut_off_v))
        text_addf(text, ", to %.4g V", claim->cut_off_v);
    if (isfinite(claim->duration_s))
        text_addf(text, ", for %.4g s", claim->duration_s);
    else if (!isnan(claim->duration_s))
        text_add(text, ", for a whole discharge");
    if (claim->where[0] != '\0')
        text_addf(text, "; read on: %s", claim->where);
}

/* A line may make several claims: `size`, `charge temperature`. */
static void add_claims(const struct label *label, long line, struct paper_check *check)
{
    static const char *const senses[] = {[SENSE_AT_LEAST] = "at least ", [SENSE_AT_MOST] = "at most ",
                                         [SENSE_ABOUT] = "about ", [SENSE_TRUE] = "that it is so"};
    struct text text = TEXT_EMPTY;
    const struct claim *last = NULL;
    for (size_t k = 0; k < label->claim_count; k++) {
        const struct claim *claim = &label->claims[k];
        if (claim->line != line)
            continue;
        text_addf(&text, "%s%s: %s", last != NULL ? "; " : "", claim->name, senses[claim->sense]);
        if (claim->sense != SENSE_TRUE && !isnan(claim->stated))
            add_amount(&text, claim->stated, claim->sense == SENSE_ABOUT ? claim->tolerance : 0, claim->quantity);
        last = claim;
    }
    if (last != NULL)
        add_conditions(&text, last);
    paper_add_line(check, line, "claim", &text);
}

/* NULL: the note answers no claim. */
static const struct claim *claim_answered(const struct label *label, const struct noted *noted)
{
    for (size_t k = 0; k < label->claim_count; k++)
        if (strcmp(label->claims[k].slug, noted->slug) == 0)
            return &label->claims[k];
    return NULL;
}

static void add_note(const struct noted *noted, const struct claim *claim, struct text *text)
{
    text_addf(text, "%s: ", claim != NULL ? claim->name : "answers no claim of this label");
    if (noted->answer >= 0)
        text_add(text, noted->answer == 1 ? "yes, it is so" : "no, it is not so");
    else if (claim != NULL) /* as rectangular bounds, GUM 4.3.7 */
        add_amount(text, noted->measure.value, noted->measure.u * sqrt(3), claim->quantity);
    else
        text_add(text, noted->words);
}

static void add_noted(const struct label *label, long line, struct paper_check *check)
{
    struct text text = TEXT_EMPTY;
    for (size_t k = 0; k < label->noted_count; k++)
        if (label->noted[k].line == line)
            add_note(&label->noted[k], claim_answered(label, &label->noted[k]), &text);
    paper_add_line(check, line, "noted", &text);
}

static void add_of_sample(const struct label *label, const struct ini_entry *entry, struct paper_check *check)
{
    static const char *const had[] = {"", "bought", "lent", "given by the maker"};
    struct text text = TEXT_EMPTY;
    if (name_alike(span_of(entry->key), "had"))
        text_add(&text, had[label->had_from]);
    else if (name_alike(span_of(entry->key), "price"))
        text_addf(&text, "%.2f %s", label->price, label->currency);
    else if (name_alike(span_of(entry->key), "chemistry"))
        text_add(&text, label->lithium_iron_phosphate ? "LiFePO4" : "not LiFePO4: rules of thumb for it are left out");
    paper_add_line(check, entry->line, "setting", &text);
}

static bool read_again(struct span text, struct ini *ret_ini)
{
    return ini_read_text("", text, ret_ini, NULL) == STATUS_OK;
}

void paper_taken_label(const struct label *label, struct span text, struct paper_check *check)
{
    struct ini ini;
    add_frame(text, "#;", true, check);
    if (!read_again(text, &ini))
        return;
    for (size_t k = 0; k < ini.count; k++) {
        const struct ini_entry *entry = &ini.entries[k];
        if (claim_at(label, entry->line) != NULL)
            add_claims(label, entry->line, check);
        else if (name_alike(span_of(entry->section), "measured"))
            add_noted(label, entry->line, check);
        else if (name_alike(span_of(entry->section), "sample"))
            add_of_sample(label, entry, check);
        else
            add_plain(check, entry->line, "question");
    }
    ini_free(&ini);
}

/* The channel whose accuracy an entry states; -1 when it states none. */
static int accuracy_of(const struct ini_entry *entry)
{
    bool own = name_alike(span_of(entry->key), "accuracy");
    struct span name = span_of(own ? entry->section : entry->key);
    for (int c = 0; c < CHANNELS; c++)
        if (name_alike(name, channel_name((enum channel)c)))
            return c;
    return name_alike(name, "ambient") ? CHANNEL_AMBIENT : -1;
}

static void add_accuracy(const struct accuracy *accuracy, int channel, struct text *text)
{
    char bound[40], at[40];
    const char *symbol = channel_symbol((enum channel)channel);
    double half = accuracy_bound(accuracy, usual[channel], 0);
    number_print(half, half, bound, sizeof bound);
    number_print(usual[channel], NAN, at, sizeof at);
    text_addf(text, "%s: within %s %s at %s %s", channel_name((enum channel)channel), bound, symbol, at, symbol);
    if (accuracy->digits > 0 && !(accuracy->resolution > 0))
        text_addf(text, ", and %.3g steps of the last digit", accuracy->digits);
}

static void add_of_rig(const struct rig *rig, const struct ini_entry *entry, struct paper_check *check)
{
    struct text text = TEXT_EMPTY;
    struct span key = span_of(entry->key);
    int channel = accuracy_of(entry);
    if (channel >= 0)
        add_accuracy(&rig->of[channel], channel, &text);
    else if (name_alike(key, "clock"))
        text_addf(&text, "within %.3g s in 10 h", rig->clock * 36000);
    else if (name_alike(key, "film"))
        text_addf(&text, "an instant is told within %.3g s", rig->frame_s);
    else if (name_alike(key, "leads"))
        add_amount(&text, rig->lead_ohm, rig->lead_halfwidth_ohm, QUANTITY_RESISTANCE);
    else if (name_alike(key, "ripple"))
        text_addf(&text, "rms ripple of %.3g %% of the mean", 100 * rig->ripple);
    paper_add_line(check, entry->line, "setting", &text);
}

void paper_taken_rig(const struct rig *rig, struct span text, struct paper_check *check)
{
    struct ini ini;
    add_frame(text, "#;", true, check);
    if (!read_again(text, &ini))
        return;
    for (size_t k = 0; k < ini.count; k++)
        add_of_rig(rig, &ini.entries[k], check);
    ini_free(&ini);
}

static const double nominal_v = 12.8; /* of the usual pack, where amps are turned into watts */

static void add_load(const struct loads *loads, size_t k, struct text *text)
{
    const struct load *load = &loads->loads[k];
    text_addf(text, "%s: %.4g W at the sample", load->name, loads_draw_w(loads, 1u << k, nominal_v));
    if (load->behind_inverter)
        text_add(text, ", losses and idle draw of the inverter in it");
    else if (!isnan(load->current_a))
        text_addf(text, ", of a 12.8 V pack");
    if (!isnan(load->fills_wh))
        text_addf(text, ", until it has taken %.4g Wh", load->fills_wh);
}

void paper_taken_loads(const struct loads *loads, struct span text, struct paper_check *check)
{
    struct ini ini;
    add_frame(text, "#;", true, check);
    if (!read_again(text, &ini))
        return;
    for (size_t k = 0; k < ini.count; k++) {
        struct text words = TEXT_EMPTY;
        size_t load = 0;
        while (load < loads->count && loads->loads[load].line != ini.entries[k].line)
            load++;
        if (load < loads->count)
            add_load(loads, load, &words);
        paper_add_line(check, ini.entries[k].line, "load", &words);
    }
    ini_free(&ini);
}

void paper_taken_settings(struct span text, struct paper_check *check)
{
    struct ini ini;
    add_frame(text, "#;", true, check);
    if (!read_again(text, &ini))
        return;
    for (size_t k = 0; k < ini.count; k++)
        add_plain(check, ini.entries[k].line, "setting");
    ini_free(&ini);
}
