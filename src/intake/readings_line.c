#include "intake/readings.h"

#include "base/memory.h"
#include "base/nearest.h"
#include "intake/amount.h"

#include <ctype.h>
#include <stdarg.h>

struct typed_value {
    struct amount amount;
    enum channel channel;
    int had; /* -1: as the line or the form says */
    long column;
};

struct reader {
    const struct readings_form *form;
    const char *path;
    long number;
    struct span line;
    size_t at;
    struct typed_value *values;
    size_t count, capacity;
    struct text words;
    size_t last_word; /* where it starts in `words` */
    bool value_last, word_last;
    int line_had; /* -1: not said */
    int column;   /* of bare numbers, the next one's */
    struct notices *notices;
    struct message *message;
};

static struct span rest_of(const struct reader *reader)
{
    return span_from(reader->line, reader->at);
}

static enum status place(const struct reader *reader, enum status status)
{
    message_place(reader->message, reader->path, reader->number, reader->line, reader->at);
    return status;
}

/* A fault of an amount, whose reader does not know of headings. */
static enum status place_amount(const struct reader *reader, enum status status)
{
    if (status == STATUS_AMBIGUOUS && reader->form->decimal == '\0' && reader->message != NULL) {
        char remedy[sizeof reader->message->remedy];
        snprintf(remedy, sizeof remedy, "%s", reader->message->remedy);
        status_remedy(reader->message, "%s, or state `decimal: comma` above the readings", remedy);
    }
    return place(reader, status);
}

__attribute__((format(printf, 3, 4)))
static enum status fault(const struct reader *reader, const char *remedy, const char *what, ...)
{
    char text[200];
    va_list args;
    va_start(args, what);
    vsnprintf(text, sizeof text, what, args);
    va_end(args);
    status_fail(reader->message, STATUS_MALFORMED, "%s", text);
    status_remedy(reader->message, "%s", remedy);
    return place(reader, STATUS_MALFORMED);
}

static void add_word(struct reader *reader, struct span word)
{
    if (word.n == 0)
        return;
    if (reader->words.length > 0)
        text_add(&reader->words, " ");
    reader->last_word = reader->words.length;
    text_add_bytes(&reader->words, word.p, word.n);
    reader->word_last = true;
    reader->value_last = false;
}

/* `ambient 18 C`, `room 18 C`: the word says which temperature, and is no mark. */
static bool take_ambient(struct reader *reader)
{
    static const char *const places[] = {"ambient", "room", "air", "outside", NULL};
    struct span last = {text_string(&reader->words) + reader->last_word,
                        reader->words.length - reader->last_word};
    if (!reader->word_last || name_find(last, places) < 0)
        return false;
    reader->words.length = reader->last_word > 0 ? reader->last_word - 1 : 0;
    reader->words.s[reader->words.length] = '\0';
    return true;
}

static int channel_of(enum quantity quantity)
{
    for (int c = 0; c < CHANNELS; c++)
        if (channel_quantity((enum channel)c) == quantity)
            return c;
    return -1;
}

static void add_value(struct reader *reader, const struct amount *amount, int channel, size_t used)
{
    if (channel == CHANNEL_TEMPERATURE && take_ambient(reader))
        channel = CHANNEL_AMBIENT;
    long column = 1;
    for (size_t k = 0; k < reader->at; k++)
        column += ((unsigned char)reader->line.p[k] & 0xC0) != 0x80;
    reader->values = memory_grow(reader->values, reader->count, &reader->capacity);
    reader->values[reader->count++] = (struct typed_value){*amount, (enum channel)channel, -1, column};
    reader->value_last = true;
    reader->word_last = false;
    reader->at += used;
}

static struct amount in_unit(struct amount amount, const struct unit *unit)
{
    double halfwidth = (amount.hi - amount.lo) / 2 * unit->factor;
    bool spread = amount.form == AMOUNT_SPREAD; /* a spread is a difference: no shift */
    amount.value = unit_own(amount.value, unit);
    amount.lo = spread ? amount.value - halfwidth : unit_own(amount.lo, unit);
    amount.hi = spread ? amount.value + halfwidth : unit_own(amount.hi, unit);
    amount.digit *= unit->factor;
    amount.quantity = unit->quantity;
    return amount;
}

static const char *const unit_remedy =
    "write the unit after the number, like `12.91 V`; put words with numbers in "
    "quotes, like \"cell 3\"; or state `columns: V A Ah` above the readings";

static enum status take_bare(struct reader *reader, const struct amount *amount, size_t used)
{
    struct span rest = rest_of(reader);
    if (reader->column < reader->form->column_count) {
        const struct unit *unit = &reader->form->columns[reader->column++];
        struct amount own = in_unit(*amount, unit);
        add_value(reader, &own, channel_of(unit->quantity), used);
        return STATUS_OK;
    }
    if (used < rest.n && rest.p[used] == ':')
        return fault(
            reader,
            "a time is written like 1:02:03, with two digits after each colon, before all else in its "
            "line; put words with numbers in quotes",
            "`%.*s:…` is no reading", (int)used, rest.p);
    return fault(reader, unit_remedy, "the number `%.*s` has no unit", (int)used, rest.p);
}

static enum status take_amount(struct reader *reader, const struct amount *amount, size_t used)
{
    struct span rest = rest_of(reader);
    int channel = channel_of(amount->quantity);
    if (channel >= 0 && !readings_plausible(amount))
        return fault(reader, "check the number, and the prefix of the unit: m is milli, M is mega",
                     "`%.*s` is more than any such pack has", (int)used, rest.p);
    if (channel >= 0) {
        add_value(reader, amount, channel, used);
        return STATUS_OK;
    }
    switch (amount->quantity) {
    case QUANTITY_NONE: return take_bare(reader, amount, used);
    case QUANTITY_TIME:
    case QUANTITY_RATIO:
    case QUANTITY_RATE:
    case QUANTITY_COUNT_OF:
    case QUANTITY_RESISTANCE: /* `burst of 30 s`, `at 50 %` */
        add_word(reader, (struct span){rest.p, used});
        if (reader->notices != NULL)
            notices_add(reader->notices, "readings", reader->number,
                        "`%.*s` is no channel of a test and was kept as a word of the mark.", (int)used,
                        rest.p);
        reader->at += used;
        return STATUS_OK;
    default: return fault(reader, unit_remedy, "`%.*s` is no reading of a test", (int)used, rest.p);
    }
}

/* What stands for a channel before `=`. */
static size_t read_name(struct span span, struct unit *ret_unit)
{
    static const struct {
        char symbol;
        enum quantity quantity;
    } symbols[] = {
        {'U', QUANTITY_VOLTAGE}, {'I', QUANTITY_CURRENT}, {'P', QUANTITY_POWER}, {'T', QUANTITY_TEMPERATURE}};
    size_t n = unit_read(span, ret_unit);
    if (n > 0)
        return channel_of(ret_unit->quantity) >= 0 ? n : 0;
    for (size_t k = 0; k < sizeof symbols / sizeof *symbols; k++)
        if (span.n > 1 && span.p[0] == symbols[k].symbol && !isalnum((unsigned char)span.p[1])) {
            *ret_unit = (struct unit){symbols[k].quantity, 1, 0};
            return 1;
        }
    return 0;
}

/* A unit that stands before a number could belong to it or to the number before: `V 12.91 A 24.8`. */
static bool bare_symbol(struct span word)
{
    static const char *const symbols[] = {"V",  "A",   "W",   "Ah", "Wh", "mV", "mA",
                                          "kW", "mAh", "kWh", "C",  "°C", NULL};
    for (size_t k = 0; symbols[k] != NULL; k++)
        if (span_is_word(word, symbols[k]))
            return true;
    return false;
}

/* `V = 12.91`, `U: 12.91 V`. Sets *ret_taken when it was one. */
static enum status take_named(struct reader *reader, bool *ret_taken)
{
    struct span rest = rest_of(reader);
    struct unit unit;
    struct amount amount;
    size_t name = read_name(rest, &unit), used;
    *ret_taken = false;
    if (name == 0)
        return STATUS_OK;
    size_t sign = name + blanks_at(span_from(rest, name));
    bool joined = sign < rest.n && (rest.p[sign] == '=' || rest.p[sign] == ':');
    size_t start = joined ? sign + 1 + blanks_at(span_from(rest, sign + 1)) : sign;
    enum status status =
        amount_read(span_from(rest, start), reader->form->decimal, &amount, &used, reader->message);
    if (status != STATUS_OK) {
        reader->at += start;
        return place_amount(reader, status);
    }
    if (used == 0)
        return STATUS_OK;
    if (!joined && bare_symbol((struct span){rest.p, name}))
        return fault(reader, "write `12.91 V` or `V = 12.91`",
                     "`%.*s` stands before a number, and it is not clear whose unit it is", (int)name, rest.p);
    if (!joined)
        return STATUS_OK;
    if (amount.quantity != QUANTITY_NONE && amount.quantity != unit.quantity)
        return fault(reader, "write `12.91 V`, or `V = 12.91, A = 24.8` with a comma between",
                     "`%.*s` has two units", (int)(start + used), rest.p);
    if (amount.quantity == QUANTITY_NONE)
        amount = in_unit(amount, &unit);
    add_value(reader, &amount, channel_of(unit.quantity), start + used);
    *ret_taken = true;
    return STATUS_OK;
}

/* `(remembered)` counts for the value right before it, or else for the whole line. */
static enum status take_bracket(struct reader *reader)
{
    static const char *const ways[] = {"seen", "filmed", "printed", "remembered", "inferred", NULL};
    struct span inside = span_from(rest_of(reader), 1);
    const char *end = memchr(inside.p, ')', inside.n);
    inside.n = end != NULL ? (size_t)(end - inside.p) : 0;
    int had = readings_had(inside);
    const char *near = name_nearest(inside, ways);
    if (had < 0 && near != NULL) {
        char remedy[80];
        snprintf(remedy, sizeof remedy, "`(%s)` was meant, perhaps", near);
        return fault(reader, remedy, "`%.*s` is no way of having a reading", (int)inside.n, inside.p);
    }
    if (had >= 0 && reader->value_last)
        reader->values[reader->count - 1].had = had;
    else if (had >= 0)
        reader->line_had = had;
    reader->at += had >= 0 ? inside.n + 2 : 1; /* other brackets are transparent */
    return STATUS_OK;
}

static enum status take_quoted(struct reader *reader)
{
    struct span inside = span_from(rest_of(reader), 1);
    const char *end = memchr(inside.p, '"', inside.n);
    if (end == NULL)
        return fault(reader, "close it with \"", "the quote is not closed");
    inside.n = (size_t)(end - inside.p);
    add_word(reader, inside);
    reader->at += inside.n + 2;
    return STATUS_OK;
}

/* A lone dash is a value not read; `--` is a dark meter. */
static size_t take_dashes(struct reader *reader)
{
    static const char *const dashes[] = {"—", "–", "−", "-", NULL};
    struct span rest = rest_of(reader);
    size_t used = 0, n;
    int count = 0;
    while ((n = spelling_at(span_from(rest, used), dashes)) > 0) {
        count += n == 1 || memcmp(rest.p + used, "—", 3) != 0 ? 1 : 2;
        used += n;
    }
    if (count == 0 ||
        (used < rest.n && blanks_at(span_from(rest, used)) == 0 && strchr(",;|", rest.p[used]) == NULL))
        return 0;
    if (count > 1)
        add_word(reader, span_of("dark"));
    if (reader->column < reader->form->column_count)
        reader->column++;
    return used;
}

static enum status take_word(struct reader *reader)
{
    struct span rest = rest_of(reader), word = rest;
    size_t n = 0, letter = 0;
    while (n < rest.n && blanks_at(span_from(rest, n)) == 0 && strchr(",;|\"()", rest.p[n]) == NULL)
        n++;
    word.n = n;
    while (letter < n && ispunct((unsigned char)word.p[letter]))
        letter++;
    if (letter < n && isdigit((unsigned char)word.p[letter]))
        return fault(reader, unit_remedy, "the number in `%.*s` has no unit", (int)n, word.p);
    if (bare_symbol(word) && !islower((unsigned char)word.p[0]))
        return fault(reader, "write the number before its unit, or put words in quotes",
                     "there is no number before `%.*s`", (int)n, word.p);
    while (word.n > 0 && word.p[word.n - 1] == ':')
        word.n--;
    add_word(reader, word);
    reader->at += n;
    return STATUS_OK;
}

static enum status take_item(struct reader *reader)
{
    struct span rest = rest_of(reader);
    struct amount amount;
    size_t used;
    bool taken = false;
    if (rest.p[0] == '"')
        return take_quoted(reader);
    if (rest.p[0] == '(')
        return take_bracket(reader);
    if (strchr(",;|)", rest.p[0]) != NULL) {
        reader->at++;
        return STATUS_OK;
    }
    size_t dashes = take_dashes(reader);
    reader->at += dashes;
    if (dashes > 0)
        return STATUS_OK;
    enum status status = take_named(reader, &taken);
    if (status != STATUS_OK || taken)
        return status;
    status = amount_read(rest, reader->form->decimal, &amount, &used, reader->message);
    if (status != STATUS_OK)
        return place_amount(reader, status);
    return used > 0 ? take_amount(reader, &amount, used) : take_word(reader);
}

/* `columns: s V A`: a bare number in the first place is the time. */
static enum status take_time_column(struct reader *reader, struct typed_time *time)
{
    struct amount amount;
    size_t used;
    if (reader->form->column_count == 0 || reader->form->columns[0].quantity != QUANTITY_TIME)
        return STATUS_OK;
    reader->column = 1;
    if (time->form != TIME_NONE)
        return STATUS_OK;
    enum status status = amount_read(rest_of(reader), reader->form->decimal, &amount, &used, reader->message);
    if (status != STATUS_OK)
        return place_amount(reader, status);
    if (used == 0 || amount.quantity != QUANTITY_NONE || amount.form != AMOUNT_PLAIN)
        return STATUS_OK;
    amount = in_unit(amount, &reader->form->columns[0]);
    if (!(amount.value >= 0))
        return fault(reader, "count the time from the start", "a time from the start cannot be negative");
    *time = (struct typed_time){TIME_UNITS, amount.value, amount.digit / 2, NAN, NAN};
    reader->at += used;
    return STATUS_OK;
}

static enum status take_time(struct reader *reader, struct typed_time *ret_time)
{
    size_t used;
    reader->at = blanks_at(reader->line);
    enum status status = typed_time_read(rest_of(reader), reader->form->decimal, &reader->form->rate,
                                         ret_time, &used, reader->message);
    if (status != STATUS_OK)
        return place(reader, status);
    reader->at += used;
    status = take_time_column(reader, ret_time);
    if (status != STATUS_OK || ret_time->form == TIME_NONE)
        return status;
    struct span rest = rest_of(reader);
    if (rest.n > 0 && rest.p[0] == ':' && (rest.n == 1 || blanks_at(span_from(rest, 1)) > 0))
        reader->at++;
    else if (rest.n > 0 && blanks_at(rest) == 0 && strchr(",;|", rest.p[0]) == NULL)
        return fault(reader, "leave a blank after the time, and write it like 1:02:03",
                     "the time does not end here");
    return STATUS_OK;
}

static void hand_over(struct reader *reader, struct instant *ret_instant)
{
    struct instant instant = {.line = reader->number, .t_s = NAN, .halfwidth_s = NAN, .count = reader->count};
    instant.values = reader->count > 0 ? memory_get(reader->count * sizeof *instant.values) : NULL;
    instant.words = memory_copy_string(text_string(&reader->words));
    for (size_t k = 0; k < reader->count; k++) {
        const struct typed_value *value = &reader->values[k];
        int had = value->had >= 0         ? value->had
                  : reader->line_had >= 0 ? reader->line_had
                                          : (int)reader->form->had;
        instant.values[k].channel = value->channel;
        instant.values[k].column = value->column;
        readings_widen(&value->amount, (enum had)had, &instant.values[k]);
    }
    *ret_instant = instant;
}

enum status readings_line_typed(const struct readings_form *form, const char *path, long number,
                                struct span line, struct instant *ret_instant, struct typed_time *ret_time,
                                struct notices *notices, struct message *message)
{
    struct reader reader = {.form = form,
                            .path = path,
                            .number = number,
                            .line = line,
                            .line_had = -1,
                            .notices = notices,
                            .message = message};
    struct typed_time time = {TIME_NONE, NAN, NAN, NAN, NAN};
    enum status status = take_time(&reader, &time);
    while (status == STATUS_OK) {
        reader.at += blanks_at(rest_of(&reader));
        if (reader.at >= line.n)
            break;
        status = take_item(&reader);
    }
    if (status == STATUS_OK && reader.count == 0 && reader.words.length == 0)
        status = fault(&reader, "write what was read then, like `12.91 V 24.8 A`, or remove the line",
                       time.form == TIME_NONE ? "this line says nothing"
                                              : "this line has a time and nothing else");
    if (status == STATUS_OK) {
        hand_over(&reader, ret_instant);
        *ret_time = time;
    }
    free(reader.values);
    text_free(&reader.words);
    return status;
}

enum status readings_line(const struct readings_form *form, const char *path, long number, struct span line,
                          struct instant *ret_instant, struct notices *notices, struct message *message)
{
    struct instant instant;
    struct typed_time time;
    enum status status = readings_line_typed(form, path, number, line, &instant, &time, notices, message);
    if (status != STATUS_OK)
        return status;
    status = typed_time_settle(&time, form->times, message);
    if (status != STATUS_OK) {
        message_place(message, path, number, line, blanks_at(line));
        instant_free(&instant);
        return status;
    }
    instant.t_s = time.s;
    instant.halfwidth_s = time.halfwidth_s;
    *ret_instant = instant;
    return STATUS_OK;
}
