#include "claims/label.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "base/number.h"
#include "claims/claim_names.h"
#include "claims/statement.h"
#include "intake/amount.h"
#include "numeric/budget.h"

#include <ctype.h>

static const double cell_nominal_v = 3.2;    /* lithium iron phosphate, trade practice */
static const double nominal_tolerance = 0.05; /* of a nominal voltage: common practice, no source */

struct label label_empty(void)
{
    return (struct label){.sample = "Sample", .price = NAN, .rated_ah = NAN, .rated_wh = NAN, .nominal_v = NAN,
                          .continuous_a = NAN, .peak_a = NAN, .cut_off_v = NAN};
}

void label_free(struct label *label)
{
    free(label->claims);
    free(label->noted);
    free(label->questions);
    *label = label_empty();
}

const struct claim *label_claim(const struct label *label, enum claim_kind kind)
{
    for (size_t k = 0; k < label->claim_count; k++)
        if (label->claims[k].kind == kind)
            return &label->claims[k];
    return NULL;
}

struct claims_reader {
    const struct ini *ini;
    struct label *label;
    size_t capacity, noted_capacity, question_capacity;
    struct message *message;
};

static struct claim *add_claim(struct claims_reader *reader, const struct statement *s, const struct ini_entry *entry)
{
    struct label *label = reader->label;
    label->claims = memory_grow(label->claims, label->claim_count, &reader->capacity);
    struct claim *claim = &label->claims[label->claim_count++];
    *claim = (struct claim){.stated = s->value, .rate_it = s->rate_it, .degc = s->degc, .cut_off_v = s->cut_off_v,
                            .duration_s = s->duration_s, .line = entry->line};
    snprintf(claim->as_stated, sizeof claim->as_stated, "%s", s->words);
    snprintf(claim->where, sizeof claim->where, "%s", s->where);
    return claim;
}

static void name_claim(struct claim *claim, const char *words)
{
    snprintf(claim->name, sizeof claim->name, "%s", words);
    claim->name[0] = (char)toupper((unsigned char)claim->name[0]);
    claim_slug(words, claim->slug, sizeof claim->slug);
}

static struct claim *add_known(struct claims_reader *reader, const struct claim_name *name,
                               const struct statement *s, const struct ini_entry *entry)
{
    struct claim *claim = add_claim(reader, s, entry);
    claim->kind = name->kind;
    claim->quantity = name->quantity;
    claim->sense = s->sense >= 0 ? (enum sense)s->sense : name->sense;
    if (name->quantity == QUANTITY_CURRENT)
        claim->sense = SENSE_AT_LEAST; /* `max. 100 A` is what may be drawn: it has to be held */
    name_claim(claim, claim_kind_shown(name->kind));
    if (claim->sense == SENSE_ABOUT)
        claim->tolerance = !isnan(s->plus_minus) ? s->plus_minus
                           : name->kind == CLAIM_CELLS ? 0.5
                                                       : nominal_tolerance * fabs(s->value);
    return claim;
}

/* A size is three claims. */
static enum status read_size(struct claims_reader *reader, const struct ini_entry *entry)
{
    static const enum claim_kind kinds[] = {CLAIM_LENGTH, CLAIM_WIDTH, CLAIM_HEIGHT};
    double size_m[3];
    const char *bar = strrchr(entry->value, '|');
    struct span rest = span_trim((struct span){entry->value, bar != NULL ? (size_t)(bar - entry->value)
                                                                         : strlen(entry->value)});
    if (!lengths_read(rest, size_m)) {
        ini_fault(reader->ini, entry, 0, reader->message, "a size is three lengths and a unit");
        return status_remedy(reader->message, "write `size = 330 x 172 x 215 mm`");
    }
    struct statement s = {.rate_it = NAN, .degc = NAN, .cut_off_v = NAN, .duration_s = NAN, .sense = -1};
    if (bar != NULL)
        span_copy(span_trim(span_of(bar + 1)), s.where, sizeof s.where);
    for (int k = 0; k < 3; k++) {
        snprintf(s.words, sizeof s.words, "%.4g mm", 1000 * size_m[k]);
        s.value = size_m[k];
        struct claim *claim = add_claim(reader, &s, entry);
        claim->kind = kinds[k];
        claim->quantity = QUANTITY_LENGTH;
        claim->sense = SENSE_AT_MOST;
        name_claim(claim, claim_kind_shown(kinds[k]));
    }
    return STATUS_OK;
}

/* `charge temperature = 0..45 °C`: one claim for each end. */
static enum status read_range(struct claims_reader *reader, const struct ini_entry *entry, enum claim_kind low)
{
    struct statement s;
    enum status status = statement_read(reader->ini, entry, QUANTITY_TEMPERATURE, &s, reader->message);
    if (status != STATUS_OK)
        return status;
    if (isnan(s.high)) {
        ini_fault(reader->ini, entry, 0, reader->message, "a temperature range has two ends");
        return status_remedy(reader->message, "write `%s = 0..45 °C`", entry->key);
    }
    double ends[] = {s.value, s.high};
    for (int k = 0; k < 2; k++) {
        enum claim_kind kind = (enum claim_kind)((int)low + k);
        s.value = ends[k];
        snprintf(s.words, sizeof s.words, "%.4g °C", ends[k]);
        struct claim_name name = {"", kind, NULL, k == 0 ? SENSE_AT_LEAST : SENSE_AT_MOST, QUANTITY_TEMPERATURE};
        add_known(reader, &name, &s, entry);
    }
    return STATUS_OK;
}

static const char suits[] = "suits a load of ";

/* `suits a load of 2000 W = yes | listing` */
static enum status read_suits(struct claims_reader *reader, const struct ini_entry *entry)
{
    double value;
    enum quantity quantity;
    size_t used = quantity_read(span_of(entry->key + strlen(suits)), '.', &value, NULL, &quantity);
    if (used == 0 || (quantity != QUANTITY_POWER && quantity != QUANTITY_CURRENT)) {
        ini_fault(reader->ini, entry, 0, reader->message, "a load is given in W or A");
        return status_remedy(reader->message, "write `suits a load of 2000 W = yes`");
    }
    struct statement s;
    enum status status = statement_read(reader->ini, entry, QUANTITY_NONE, &s, reader->message);
    if (status != STATUS_OK)
        return status;
    s.value = value;
    struct claim *claim = add_claim(reader, &s, entry);
    claim->kind = CLAIM_SUITS_LOAD;
    claim->quantity = quantity;
    claim->sense = SENSE_AT_LEAST;
    name_claim(claim, entry->key);
    return STATUS_OK;
}

static enum status unknown_claim(struct claims_reader *reader, const struct ini_entry *entry)
{
    const char *known[64];
    size_t n = 0;
    for (const struct claim_name *name = claim_names; name->written != NULL && n < 60; name++)
        known[n++] = name->written;
    known[n++] = "size", known[n++] = "charge temperature", known[n++] = "discharge temperature";
    known[n] = NULL;
    ini_fault(reader->ini, entry, 0, reader->message, "'%s' is no claim that carries a value", entry->key);
    const char *near = name_nearest(span_of(entry->key), known);
    if (near != NULL)
        return status_remedy(reader->message, "did you mean '%s'?", near);
    return status_remedy(reader->message, "a claim in words takes yes or no: `%s = yes | where`", entry->key);
}

static enum status read_in_words(struct claims_reader *reader, const struct ini_entry *entry)
{
    struct statement s;
    if (statement_read(reader->ini, entry, QUANTITY_NONE, &s, NULL) != STATUS_OK)
        return unknown_claim(reader, entry);
    struct claim *claim = add_claim(reader, &s, entry);
    claim->kind = CLAIM_YES_NO;
    claim->sense = SENSE_TRUE;
    name_claim(claim, entry->key);
    return STATUS_OK;
}

static double stated_first(const struct label *label, enum claim_kind kind)
{
    const struct claim *claim = label_claim(label, kind);
    return claim != NULL ? claim->stated : NAN;
}

static void settle_shortcuts(struct label *label)
{
    label->rated_ah = stated_first(label, CLAIM_CAPACITY);
    label->rated_wh = stated_first(label, CLAIM_ENERGY);
    label->nominal_v = stated_first(label, CLAIM_NOMINAL_VOLTAGE);
    label->continuous_a = stated_first(label, CLAIM_CONTINUOUS_CURRENT);
    label->peak_a = stated_first(label, CLAIM_PEAK_CURRENT);
    label->cut_off_v = stated_first(label, CLAIM_CUT_OFF_VOLTAGE);
    const struct claim *cells = label_claim(label, CLAIM_CELLS);
    label->cells = cells != NULL ? (int)lround(cells->stated) : 0;
    if (label->cells == 0 && label->lithium_iron_phosphate && label->nominal_v > 0) {
        label->cells = (int)lround(label->nominal_v / cell_nominal_v);
        label->cells_inferred = true;
    }
}

/* What a claim of one value cannot be. */
static enum status check_value(struct claims_reader *reader, const struct ini_entry *entry,
                               const struct claim_name *name, const struct statement *s)
{
    const char *symbol = quantity_symbol(name->quantity), *fault = NULL, *remedy = "";
    enum sense sense = s->sense >= 0 ? (enum sense)s->sense : name->sense;
    if (s->answer >= 0)
        fault = "a claim with a value", remedy = "give a number with its unit";
    else if (!isnan(s->high))
        fault = "a claim of one value, not of two", remedy = "give the one that it promises";
    else if (!isnan(s->plus_minus) && sense != SENSE_ABOUT)
        fault = "a claim of a least or a most", remedy = "write `at least`, `at most`, or `about` before the ±";
    else if (!(s->value > 0) && name->quantity != QUANTITY_TEMPERATURE)
        fault = "a claim of more than nothing", remedy = "give a number above zero";
    if (fault == NULL)
        return STATUS_OK;
    ini_fault(reader->ini, entry, 0, reader->message, "'%s' is %s", entry->key, fault);
    return status_remedy(reader->message, "%s%s%s", remedy, symbol[0] != '\0' ? ", in " : "", symbol);
}

/* `charge voltage = 14.4..14.6 V` is a value about the middle of the two. */
static void settle_two_volts(const struct claim_name *name, struct statement *s)
{
    if (name->quantity != QUANTITY_VOLTAGE || !(s->high > s->value) || s->sense >= 0)
        return;
    s->plus_minus = 0.5 * (s->high - s->value);
    s->value += s->plus_minus;
    s->high = NAN;
    s->sense = SENSE_ABOUT;
}

static enum status read_claim(struct claims_reader *reader, const struct ini_entry *entry)
{
    struct span key = span_of(entry->key);
    if (name_alike(key, "size"))
        return read_size(reader, entry);
    if (name_alike(key, "charge temperature"))
        return read_range(reader, entry, CLAIM_CHARGE_TEMPERATURE_MIN);
    if (name_alike(key, "discharge temperature"))
        return read_range(reader, entry, CLAIM_DISCHARGE_TEMPERATURE_MIN);
    if (key.n > strlen(suits) && span_is_word((struct span){key.p, strlen(suits)}, suits))
        return read_suits(reader, entry);
    const struct claim_name *name = claim_name_find(entry->key);
    if (name == NULL)
        return read_in_words(reader, entry);
    struct statement s;
    enum status status = statement_read(reader->ini, entry, name->quantity, &s, reader->message);
    if (status == STATUS_OK)
        settle_two_volts(name, &s), status = check_value(reader, entry, name, &s);
    if (status != STATUS_OK)
        return status;
    struct claim *claim = add_known(reader, name, &s, entry);
    if (name->kind == CLAIM_CONTINUOUS_CURRENT && isnan(claim->duration_s))
        claim->duration_s = INFINITY;
    if (!isnan(s.rate_a) && isnan(claim->rate_it))
        claim->rate_it = -s.rate_a; /* amps until the rating is known; turned into I_t below */
    return STATUS_OK;
}

/* A second claim of one name, under other conditions, is `capacity-2`. */
static void settle_slugs(struct label *label)
{
    for (size_t k = 1; k < label->claim_count; k++) {
        struct claim *claim = &label->claims[k];
        int before = 0;
        for (size_t j = 0; j < k; j++)
            before += strcmp(label->claims[j].name, claim->name) == 0;
        size_t used = strlen(claim->slug);
        if (before > 0)
            snprintf(claim->slug + used, sizeof claim->slug - used, "-%d", before + 1);
    }
}

static void settle_amps_to_rate(struct label *label)
{
    for (size_t k = 0; k < label->claim_count; k++) {
        struct claim *claim = &label->claims[k];
        if (claim->rate_it < 0)
            claim->rate_it = label->rated_ah > 0 ? -claim->rate_it / label->rated_ah : NAN;
    }
}

static enum status read_noted(struct claims_reader *reader, const struct ini_entry *entry)
{
    struct label *label = reader->label;
    const struct claim_name *name = claim_name_find(entry->key);
    struct statement s;
    enum quantity expected = name != NULL ? name->quantity : QUANTITY_NONE;
    if (name_alike(span_of(entry->key), "size")) {
        ini_fault(reader->ini, entry, 0, reader->message, "a size was measured length by length");
        return status_remedy(reader->message, "write `length = 329 mm ± 1 mm | steel rule`, then width and height");
    }
    enum status status = statement_read(reader->ini, entry, expected, &s, reader->message);
    if (status != STATUS_OK)
        return status;
    label->noted = memory_grow(label->noted, label->noted_count, &reader->noted_capacity);
    struct noted *noted = &label->noted[label->noted_count++];
    *noted = (struct noted){.answer = s.answer, .line = entry->line, .measure = measure_unknown("noted in words")};
    claim_slug(name != NULL ? claim_kind_shown(name->kind) : entry->key, noted->slug, sizeof noted->slug);
    snprintf(noted->words, sizeof noted->words, "%s", s.words);
    snprintf(noted->where, sizeof noted->where, "%s", s.where);
    if (s.answer >= 0)
        return STATUS_OK;
    if (!isnan(s.high))
        s.plus_minus = 0.5 * fabs(s.high - s.value), s.value = 0.5 * (s.value + s.high);
    /* without a stated bound the last digit written is trusted to one step */
    double half = !isnan(s.plus_minus) ? s.plus_minus : expected == QUANTITY_COUNT_OF ? 0 : s.digit;
    noted->measure = measure_of(s.value);
    measure_part(&noted->measure, (struct part){.cause = CAUSE_GAIN_OTHER, .shape = SHAPE_RECTANGULAR,
                                                .u = half / sqrt(3), .dof = INFINITY, .what = "as noted",
                                                .remedy = "a finer scale or rule"});
    budget_close(&noted->measure);
    return STATUS_OK;
}

static void read_question(struct claims_reader *reader, const struct ini_entry *entry)
{
    struct label *label = reader->label;
    label->questions = memory_grow(label->questions, label->question_count, &reader->question_capacity);
    char *text = label->questions[label->question_count++];
    snprintf(text, sizeof *label->questions, "%s%s%s", entry->key, entry->value[0] != '\0' ? ": " : "", entry->value);
}

static enum status read_had(struct claims_reader *reader, const struct ini_entry *entry)
{
    static const struct {
        const char *word;
        enum had_from from;
    } words[] = {{"bought", HAD_BOUGHT}, {"lent", HAD_LENT}, {"given", HAD_GIVEN_BY_MAKER}, {"sent", HAD_GIVEN_BY_MAKER}};
    snprintf(reader->label->had_words, sizeof reader->label->had_words, "%s", entry->value);
    /* the first of them counts: `lent by a member, who had bought it` */
    for (struct span rest = span_of(entry->value); rest.n > 0; rest.p++, rest.n--)
        for (size_t k = 0; k < sizeof words / sizeof *words; k++) {
            size_t n = strlen(words[k].word);
            if (n > rest.n || !span_is_word((struct span){rest.p, n}, words[k].word))
                continue;
            reader->label->had_from = words[k].from;
            return STATUS_OK;
        }
    ini_fault(reader->ini, entry, 0, reader->message, "says not how the sample was had");
    return status_remedy(reader->message, "use one of the words bought, lent, given (by the maker)");
}

static enum status read_price(struct claims_reader *reader, const struct ini_entry *entry)
{
    const char *p = entry->value;
    while (*p != '\0' && !isdigit((unsigned char)*p))
        p++;
    size_t used = number_read(span_of(p), '.', &reader->label->price, NULL);
    struct span currency = span_trim(p > entry->value ? (struct span){entry->value, (size_t)(p - entry->value)}
                                                      : span_of(p + used));
    if (used == 0 || strpbrk(p + used, ",.0123456789") != NULL) {
        ini_fault(reader->ini, entry, 0, reader->message, "a price is one number and a currency");
        return status_remedy(reader->message, "write `price = 1329.50 EUR`: no mark between the thousands, a point "
                                              "before the cents");
    }
    span_copy(currency, reader->label->currency, sizeof reader->label->currency);
    return STATUS_OK;
}

static void copy_words(char *into, size_t size, const struct ini_entry *entry)
{
    snprintf(into, size, "%s", entry->value);
}

static enum status read_sample(struct claims_reader *reader, const struct ini_entry *entry)
{
    struct label *label = reader->label;
    struct span key = span_of(entry->key);
    if (name_alike(key, "name"))
        copy_words(label->sample, sizeof label->sample, entry);
    else if (name_alike(key, "description"))
        copy_words(label->description, sizeof label->description, entry);
    else if (name_alike(key, "tested"))
        copy_words(label->tested, sizeof label->tested, entry);
    else if (name_alike(key, "had"))
        return read_had(reader, entry);
    else if (name_alike(key, "price"))
        return read_price(reader, entry);
    else if (name_alike(key, "invented"))
        return ini_yes(reader->ini, entry, &label->invented, reader->message);
    else if (name_alike(key, "chemistry"))
        label->lithium_iron_phosphate = span_has_word(span_of(entry->value), "iron phosphate") ||
                                        span_has_word(span_of(entry->value), "LiFePO4") ||
                                        span_has_word(span_of(entry->value), "LFP");
    return STATUS_OK;
}

static enum status read_entry(struct claims_reader *reader, const struct ini_entry *entry)
{
    if (name_alike(span_of(entry->section), "sample"))
        return read_sample(reader, entry);
    if (name_alike(span_of(entry->section), "claims"))
        return read_claim(reader, entry);
    if (name_alike(span_of(entry->section), "measured"))
        return read_noted(reader, entry);
    read_question(reader, entry);
    return STATUS_OK;
}

static enum status read_all(struct claims_reader *reader, const char *path)
{
    static const char *const sections[] = {"sample", "claims", "measured", "questions", NULL};
    static const char *const sample[] = {"name", "description", "tested", "had", "price", "invented", "chemistry", NULL};
    enum status status = ini_known_sections(reader->ini, sections, reader->message);
    if (status == STATUS_OK)
        status = ini_known_keys(reader->ini, "sample", sample, reader->message);
    for (size_t k = 0; k < reader->ini->count && status == STATUS_OK; k++)
        status = read_entry(reader, &reader->ini->entries[k]);
    if (status != STATUS_OK)
        return status;
    if (reader->label->claim_count == 0) {
        status_fail(reader->message, STATUS_MALFORMED, "the label holds no claim");
        status_at(reader->message, path, 0, 0);
        return status_remedy(reader->message, "add a section [claims] with a line such as `capacity = 100 Ah | case`");
    }
    settle_shortcuts(reader->label);
    settle_slugs(reader->label);
    settle_amps_to_rate(reader->label);
    return STATUS_OK;
}

/* Takes the ini over. */
static enum status read_ini(struct ini *ini, struct label *ret_label, struct notices *notices, struct message *message)
{
    struct label label = label_empty();
    label.lithium_iron_phosphate = true; /* what Rundown is for; `chemistry` says otherwise */
    snprintf(label.path, sizeof label.path, "%s", ini->path);
    struct claims_reader reader = {.ini = ini, .label = &label, .message = message};
    enum status status = read_all(&reader, ini->path);
    ini_free(ini);
    if (status != STATUS_OK) {
        label_free(&label);
        return status;
    }
    if (label.cells_inferred)
        notices_add(notices, "label", 0, "The label states no cell count; %d in series taken from %.4g V nominal.",
                    label.cells, label.nominal_v);
    *ret_label = label;
    return STATUS_OK;
}

enum status label_read(const char *path, struct label *ret_label, struct notices *notices, struct message *message)
{
    struct ini ini;
    enum status status = ini_read(path, &ini, message);
    return status == STATUS_OK ? read_ini(&ini, ret_label, notices, message) : status;
}

enum status label_read_text(const char *path, struct span text, struct label *ret_label, struct notices *notices,
                            struct message *message)
{
    struct ini ini;
    enum status status = ini_read_text(path, text, &ini, message);
    return status == STATUS_OK ? read_ini(&ini, ret_label, notices, message) : status;
}
