#include "intake/timecode.h"

#include "intake/amount.h"

enum { RATE_LIMIT = 960 }; /* frames a second; beyond any camera that shows a meter */

static enum status fault(struct message *message, const char *what)
{
    status_fail(message, STATUS_MALFORMED, "%s", what);
    status_remedy(message, "write 24, 25, 30, 50, 60, 23.976, 29.97, `29.97 drop`, 59.94, `59.94 drop`, or "
                           "`variable` when the camera varies its rate");
    if (message != NULL)
        message->column = 0;
    return STATUS_MALFORMED;
}

/* 29.97 stands for 30000/1001, 23.976 and 23.98 for 24000/1001: a rate as typed is one of these when it
 * is that number rounded to the decimals typed. */
static bool settle(double typed, int decimals, struct frame_rate *rate)
{
    if (!(typed >= 1) || typed > RATE_LIMIT)
        return false;
    rate->nominal = (int)ceil(typed);
    rate->per_s = rate->nominal;
    if (typed == rate->nominal)
        return true;
    rate->per_s = rate->nominal * (1000.0 / 1001);
    return decimals >= 2 && fabs(typed - rate->per_s) <= 0.5000001 * pow(10, -decimals);
}

static size_t read_ratio(struct span span, double *ret_rate)
{
    double above, below;
    int decimals;
    size_t used, more;
    if (amount_number(span, '.', &above, &decimals, &used, NULL) != STATUS_OK || used == 0 ||
        used >= span.n || span.p[used] != '/')
        return 0;
    if (amount_number(span_from(span, used + 1), '.', &below, &decimals, &more, NULL) != STATUS_OK ||
        below != 1001)
        return 0;
    *ret_rate = above / below;
    return used + 1 + more;
}

enum status frame_rate_read(struct span span, struct frame_rate *ret_rate, size_t *ret_used,
                            struct message *message)
{
    static const char *const variable[] = {"variable", "vfr", NULL}, *const per_s[] = {"fps", "frames/s", "p",
                                                                                       NULL};
    static const char *const drop[] = {"drop-frame", "drop frame", "drop", "df", NULL};
    static const char *const non_drop[] = {"non-drop", "non drop", "ndf", NULL};
    struct frame_rate rate = {0};
    double typed;
    int decimals = 9;
    size_t used = spelling_at(span, variable);
    if (used > 0) {
        rate.variable = true;
    } else {
        used = read_ratio(span, &typed);
        enum status status =
            used > 0 ? STATUS_OK : amount_number(span, '\0', &typed, &decimals, &used, message);
        if (status != STATUS_OK)
            return status;
        if (used == 0 || !settle(typed, decimals, &rate))
            return fault(message, "this is no frame rate that film runs at");
    }
    size_t gap = used + blanks_at(span_from(span, used)), word;
    if ((word = spelling_at(span_from(span, gap), per_s)) > 0) {
        used = gap + word;
        gap = used + blanks_at(span_from(span, used));
    }
    if ((word = spelling_at(span_from(span, gap), non_drop)) > 0) {
        used = gap + word;
    } else if ((word = spelling_at(span_from(span, gap), drop)) > 0) {
        if (rate.per_s == rate.nominal || rate.nominal % 30 != 0)
            return fault(message, "drop-frame counting exists at 29.97 and 59.94 only");
        rate.drop = true;
        used = gap + word;
    }
    *ret_rate = rate;
    *ret_used = used;
    return STATUS_OK;
}

long timecode_frame(const struct frame_rate *rate, long hours, int minutes, int seconds, int frames)
{
    if (rate->nominal <= 0 || hours < 0 || hours > 9999 || minutes < 0 || minutes > 59 || seconds < 0 ||
        seconds > 59 || frames < 0 || frames >= rate->nominal)
        return -1;
    long all_minutes = hours * 60 + minutes;
    long number = (all_minutes * 60 + seconds) * rate->nominal + frames;
    if (!rate->drop)
        return number;
    int left_out = rate->nominal / 15; /* 2 at 30, 4 at 60 */
    if (minutes % 10 != 0 && seconds == 0 && frames < left_out)
        return -1;
    return number - left_out * (all_minutes - all_minutes / 10);
}

double timecode_seconds(const struct frame_rate *rate, long hours, int minutes, int seconds, int frames,
                        double *ret_halfwidth_s)
{
    if (rate->variable) {
        struct frame_rate whole = {.nominal = RATE_LIMIT, .per_s = RATE_LIMIT};
        if (timecode_frame(&whole, hours, minutes, seconds, frames) < 0)
            return NAN;
        *ret_halfwidth_s = 0.5;
        return (double)((hours * 60 + minutes) * 60 + seconds) + 0.5;
    }
    long frame = timecode_frame(rate, hours, minutes, seconds, frames);
    if (frame < 0)
        return NAN;
    *ret_halfwidth_s = 0.5 / rate->per_s;
    return ((double)frame + 0.5) / rate->per_s;
}
