#include "intake/typed_time.h"

#include "intake/amount.h"

#include <ctype.h>

/* `~` before a time is worth what it is before any value (intake/readings.h). */
static const double about_share = 0.05, about_steps = 2;

static enum status fault(struct message *message, enum status status, size_t at, const char *what,
                         const char *remedy)
{
    status_fail(message, status, "%s", what);
    status_remedy(message, "%s", remedy);
    if (message != NULL)
        message->column = (long)at;
    return status;
}

/* Numbers joined by colons. */
struct joined {
    long part[4];
    int parts;
    bool semicolon;  /* before the last part: drop-frame counting */
    double fraction; /* of a second */
    double step_s;   /* of the last digit */
    size_t used;
};

static size_t read_part(struct span span, int longest, long *ret_part)
{
    size_t n = 0;
    long part = 0;
    while (n < span.n && isdigit((unsigned char)span.p[n]) && (int)n <= longest)
        part = part * 10 + (span.p[n++] - '0');
    *ret_part = part;
    return n > 0 && (int)n <= longest ? n : 0;
}

static bool decimal_follows(struct span span, size_t k)
{
    return k + 1 < span.n && (span.p[k] == '.' || span.p[k] == ',') && isdigit((unsigned char)span.p[k + 1]);
}

static void read_fraction(struct span span, struct joined *joined)
{
    size_t k = joined->used;
    double place = 1, fraction = 0;
    if (!decimal_follows(span, k))
        return;
    for (k++; k < span.n && isdigit((unsigned char)span.p[k]); k++) {
        place /= 10;
        fraction += (span.p[k] - '0') * place;
    }
    if (decimal_follows(span, k)) /* `1:02:03,12.91 V`: the comma ended the time */
        return;
    joined->fraction = fraction;
    joined->step_s = place;
    joined->used = k;
}

static struct joined read_joined(struct span span)
{
    struct joined joined = {.step_s = 1};
    size_t k = read_part(span, 5, &joined.part[0]);
    joined.parts = k > 0;
    joined.used = k;
    while (k > 0 && joined.parts < 4 && k + 1 < span.n && (span.p[k] == ':' || span.p[k] == ';')) {
        bool semicolon = span.p[k] == ';';
        size_t n = read_part(span_from(span, k + 1), 3, &joined.part[joined.parts]);
        if (n < 2 || (semicolon && joined.parts < 3) || (n == 3 && joined.parts < 3))
            break;
        if (semicolon && decimal_follows(span, k + 1 + n)) /* `1:02:03;12.91 V`: it ended the time */
            break;
        joined.semicolon = semicolon;
        joined.parts++;
        joined.used = k = k + 1 + n;
    }
    if (joined.parts == 3)
        read_fraction(span, &joined);
    return joined;
}

static enum status take_timecode(const struct joined *joined, const struct frame_rate *rate,
                                 struct typed_time *time, struct message *message)
{
    struct frame_rate counting = *rate;
    if (rate->nominal == 0 && !rate->variable)
        return fault(
            message, STATUS_AMBIGUOUS, 0, "this is a timecode, but no frame rate is stated",
            "put a line such as `frame rate: 25`, `frame rate: 29.97 drop` or `frame rate: variable` above "
            "the readings");
    if (joined->semicolon && !rate->variable) {
        if (rate->per_s == rate->nominal || rate->nominal % 30 != 0)
            return fault(message, STATUS_MALFORMED, 0,
                         "`;` marks drop-frame timecode, which the stated frame rate does not have",
                         "write `:` before the frames, or state `frame rate: 29.97 drop`");
        counting.drop = true;
    }
    double halfwidth, s = timecode_seconds(&counting, joined->part[0], (int)joined->part[1],
                                           (int)joined->part[2], (int)joined->part[3], &halfwidth);
    if (isnan(s))
        return fault(
            message, STATUS_MALFORMED, 0, "this timecode does not exist at the stated frame rate",
            "check minutes, seconds and frame; drop-frame timecode skips ;00 and ;01 at most full minutes");
    *time = (struct typed_time){TIME_TIMECODE, s, halfwidth, NAN, NAN};
    return STATUS_OK;
}

static enum status take_joined(const struct joined *joined, const struct frame_rate *rate,
                               struct typed_time *time, struct message *message)
{
    const long *part = joined->part;
    if (joined->parts == 4)
        return take_timecode(joined, rate, time, message);
    if (part[1] > 59 || (joined->parts == 3 && part[2] > 59))
        return fault(message, STATUS_MALFORMED, 0, "minutes and seconds after a colon run to 59",
                     "check the time");
    if (joined->parts == 3) {
        double s = (double)((part[0] * 60 + part[1]) * 60 + part[2]) + joined->fraction;
        *time = (struct typed_time){TIME_THREE, s + joined->step_s / 2, joined->step_s / 2, NAN, NAN};
        return STATUS_OK;
    }
    *time = (struct typed_time){TIME_TWO, (double)(part[0] * 60 + part[1]) + 0.5, 0.5, NAN, NAN};
    if (part[0] < 24) {
        time->clock_s = (double)((part[0] * 60 + part[1]) * 60) + 30;
        time->clock_halfwidth_s = 30;
    }
    return STATUS_OK;
}

/* `2:32 pm`. Noon is 12 pm, midnight 12 am. */
static enum status take_half_of_day(struct span span, const struct joined *joined, struct typed_time *time,
                                    size_t *used, struct message *message)
{
    static const char *const am[] = {"am", "a.m.", NULL}, *const pm[] = {"pm", "p.m.", NULL};
    size_t gap = *used + blanks_at(span_from(span, *used));
    size_t before = spelling_at(span_from(span, gap), am), after = spelling_at(span_from(span, gap), pm);
    if (before + after == 0 || joined->parts > 3)
        return STATUS_OK;
    if (joined->part[0] < 1 || joined->part[0] > 12)
        return fault(message, STATUS_MALFORMED, 0, "the hours before am and pm run from 1 to 12",
                     "check the time");
    double shift = (joined->part[0] == 12 ? -12 : 0) + (after > 0 ? 12 : 0);
    bool two = joined->parts == 2;
    *time = (struct typed_time){TIME_CLOCK, (two ? time->clock_s : time->s) + 3600 * shift,
                                two ? time->clock_halfwidth_s : time->halfwidth_s, NAN, NAN};
    *used = gap + before + after;
    return STATUS_OK;
}

/* `m` is minutes between hours and seconds, though alone it is metres. */
static size_t read_minutes(struct span span, char decimal, struct amount *amount)
{
    double number;
    int decimals;
    size_t used;
    if (amount_number(span, decimal, &number, &decimals, &used, NULL) != STATUS_OK || used == 0)
        return 0;
    size_t gap = used + blanks_at(span_from(span, used));
    struct unit unit;
    if (unit_read(span_from(span, gap), &unit) != 1 || span.p[gap] != 'm')
        return 0;
    *amount = (struct amount){AMOUNT_PLAIN, QUANTITY_TIME, number * 60, 0, 0, pow(10, -decimals) * 60};
    return gap + 1;
}

/* `2 h 5 min 3 s`: each further unit is smaller than the one before. */
static enum status read_units(struct span span, char decimal, struct typed_time *time, size_t *ret_used,
                              struct message *message)
{
    struct amount first, next;
    size_t used, more;
    enum status status = amount_read(span, decimal, &first, &used, NULL);
    if (status != STATUS_OK || used == 0 || first.quantity != QUANTITY_TIME)
        return STATUS_OK;
    if (isnan(first.value) || !(first.lo >= 0))
        return fault(message, STATUS_MALFORMED, 0, "a time cannot be open to one side, nor before the start",
                     "write a time such as `62 min` or `62..65 min`, or none at all");
    double s = first.value, step = first.digit, halfwidth = (first.hi - first.lo) / 2;
    bool parts = first.form == AMOUNT_PLAIN || first.form == AMOUNT_ABOUT;
    while (parts) {
        size_t gap = used + blanks_at(span_from(span, used));
        struct span rest = span_from(span, gap);
        more = read_minutes(rest, decimal, &next);
        if (more == 0 && (amount_read(rest, decimal, &next, &more, NULL) != STATUS_OK ||
                          next.quantity != QUANTITY_TIME || next.form != AMOUNT_PLAIN))
            more = 0;
        if (more == 0 || !(next.value >= 0) || next.value >= 3600 || next.digit >= step)
            break;
        s += next.value;
        step = next.digit;
        used = gap + more;
    }
    if (first.form == AMOUNT_PLAIN)
        halfwidth = step / 2;
    if (first.form == AMOUNT_ABOUT)
        halfwidth = fmax(about_share * s, about_steps * step);
    *time = (struct typed_time){TIME_UNITS, s, halfwidth, NAN, NAN};
    *ret_used = used;
    return STATUS_OK;
}

enum status typed_time_read(struct span span, char decimal, const struct frame_rate *rate,
                            struct typed_time *ret_time, size_t *ret_used, struct message *message)
{
    static const char *const about[] = {"~", "≈", "ca.", "ca", "about", NULL};
    struct typed_time time = {TIME_NONE, NAN, NAN, NAN, NAN};
    size_t hedge = spelling_at(span, about), used = 0;
    hedge += hedge > 0 ? blanks_at(span_from(span, hedge)) : 0;
    struct joined joined = read_joined(span_from(span, hedge));
    enum status status;
    if (joined.parts >= 2) {
        used = hedge + joined.used;
        status = take_joined(&joined, rate, &time, message);
        if (status == STATUS_OK)
            status = take_half_of_day(span, &joined, &time, &used, message);
        if (hedge > 0) {
            time.halfwidth_s =
                fmax(time.form == TIME_CLOCK ? 0 : about_share * time.s, 2 * about_steps * time.halfwidth_s);
            time.clock_halfwidth_s *= 2 * about_steps;
        }
    } else {
        status = read_units(span, decimal, &time, &used, message);
    }
    if (status != STATUS_OK)
        return status;
    *ret_time = time;
    *ret_used = used;
    return STATUS_OK;
}

enum status typed_time_settle(struct typed_time *time, enum times times, struct message *message)
{
    if (time->form == TIME_UNITS && times == TIMES_CLOCK)
        return fault(message, STATUS_MALFORMED, 0, "this is a time from the start, among times of the clock",
                     "write the clock, like 14:32, or no time at all");
    if (time->form == TIME_CLOCK && times == TIMES_ELAPSED)
        return fault(message, STATUS_MALFORMED, 0, "this is a time of the clock, among times from the start",
                     "write the time from the start, like 1:02:03, or no time at all");
    bool clock = times == TIMES_CLOCK;
    if (time->form != TIME_TWO && !(clock && time->s >= 86400))
        return STATUS_OK;
    if (times == TIMES_NOT_STATED && !isnan(time->clock_s))
        return fault(
            message, STATUS_AMBIGUOUS, 0, "this time can be minutes and seconds from the start, or the clock",
            "put `times: elapsed` or `times: clock` above the readings, or write hours, minutes and seconds");
    if (clock && !(time->clock_s < 86400))
        return fault(message, STATUS_MALFORMED, 0, "no clock shows this time",
                     "write hours to 23 and minutes to 59");
    if (clock) {
        time->s = time->clock_s;
        time->halfwidth_s = time->clock_halfwidth_s;
    }
    time->form = TIME_THREE;
    return STATUS_OK;
}
