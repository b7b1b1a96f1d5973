#include "intake/stamp.h"

#include "base/number.h"

#include <ctype.h>

enum { SECONDS_A_DAY = 86400 };

/* A cursor over a borrowed text; every take_ moves it only when it succeeds. */
struct cursor {
    const char *p, *end;
};

static bool at(const struct cursor *c, char wanted)
{
    return c->p < c->end && *c->p == wanted;
}

static bool take(struct cursor *c, char wanted)
{
    if (!at(c, wanted))
        return false;
    c->p++;
    return true;
}

static bool at_one_of(const struct cursor *c, const char *set)
{
    return c->p < c->end && *c->p != '\0' && strchr(set, *c->p) != NULL;
}

static void skip_blanks(struct cursor *c)
{
    while (at_one_of(c, " \t"))
        c->p++;
}

/* Digits, at most `most`; returns how many. */
static int take_digits(struct cursor *c, int most, int64_t *ret_number)
{
    int64_t number = 0;
    int count = 0;
    while (c->p + count < c->end && isdigit((unsigned char)c->p[count]) && count < most) {
        number = number * 10 + (c->p[count] - '0');
        count++;
    }
    if (count > 0) {
        c->p += count;
        *ret_number = number;
    }
    return count;
}

static struct span take_word(struct cursor *c)
{
    const char *start = c->p;
    while (c->p < c->end && (isalpha((unsigned char)*c->p) || (unsigned char)*c->p >= 0x80))
        c->p++;
    return (struct span){start, (size_t)(c->p - start)};
}

/* Howard Hinnant's days_from_civil ("chrono-compatible low-level date algorithms"), from memory. */
bool stamp_day_of(int year, int month, int day, int64_t *ret_day)
{
    static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (year < 1 || year > 9999 || month < 1 || month > 12 || day < 1)
        return false;
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    if (day > lengths[month - 1] + (leap && month == 2))
        return false;
    int64_t y = month <= 2 ? year - 1 : year;
    int64_t era = y / 400, of_era = y - era * 400;
    int64_t of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    *ret_day = era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468;
    return true;
}

bool stamp_date_of(int64_t day, int *ret_year, int *ret_month, int *ret_day)
{
    int64_t first = 0, next;
    int year = 1900, month = 1;
    if (day < -25567 || day >= 84006) /* 1900-01-01, 2200-01-01 */
        return false;
    while (stamp_day_of(year + 1, 1, 1, &next) && next <= day)
        year++;
    while (month < 12 && stamp_day_of(year, month + 1, 1, &next) && next <= day)
        month++;
    stamp_day_of(year, month, 1, &first);
    *ret_year = year;
    *ret_month = month;
    *ret_day = (int)(day - first) + 1;
    return true;
}

static int month_of(struct span word)
{
    if (word.n < 3)
        return 0;
    static const struct {
        const char *start;
        int month;
    } names[] = {
        {"jan", 1},  {"feb", 2},  {"mar", 3},  {"mär", 3},  {"mrz", 3},  {"apr", 4},
        {"may", 5},  {"mai", 5},  {"jun", 6},  {"jul", 7},  {"aug", 8},  {"sep", 9},
        {"oct", 10}, {"okt", 10}, {"nov", 11}, {"dec", 12}, {"dez", 12},
    };
    for (size_t k = 0; k < sizeof names / sizeof *names; k++) {
        size_t n = strlen(names[k].start);
        if (word.n >= n && word.n <= 9 && span_is_word((struct span){word.p, n}, names[k].start))
            return names[k].month;
    }
    return 0;
}

static int full_year(int64_t year, int digits)
{
    return digits == 4 ? (int)year : year < 70 ? 2000 + (int)year : 1900 + (int)year;
}

/* Three numbers with one separator, a year of four digits first. */
static bool take_year_first(struct cursor *c, int64_t *ret_day)
{
    struct cursor k = *c;
    int64_t year, month, day;
    if (take_digits(&k, 4, &year) != 4 || k.p == k.end)
        return false;
    char separator = *k.p;
    bool compact = isdigit((unsigned char)separator);
    if (!compact && !at_one_of(&k, "-/."))
        return false;
    k.p += !compact;
    int most = take_digits(&k, 2, &month);
    if (most == 0 || (compact && most != 2) || (!compact && !take(&k, separator)))
        return false;
    most = take_digits(&k, 2, &day);
    if (most == 0 || (compact && most != 2) || !stamp_day_of((int)year, (int)month, (int)day, ret_day))
        return false;
    *c = k;
    return true;
}

/* 03.04.2023 is a day first wherever dots are used; with / or - the order must be known. */
static bool take_year_last(struct cursor *c, enum date_order order, int64_t *ret_day, bool *ret_free)
{
    struct cursor k = *c;
    int64_t a, b, year;
    if (take_digits(&k, 2, &a) == 0 || !at_one_of(&k, "-/."))
        return false;
    char separator = *k.p++;
    if (take_digits(&k, 2, &b) == 0 || !take(&k, separator))
        return false;
    int digits = take_digits(&k, 4, &year);
    if (digits != 4 && digits != 2)
        return false;
    bool dotted = separator == '.';
    bool day_first = dotted || order != DATE_MONTH_FIRST;
    int64_t day = day_first ? a : b, month = day_first ? b : a;
    if (!stamp_day_of(full_year(year, digits), (int)month, (int)day, ret_day))
        return false;
    *ret_free = dotted || a == b;
    *c = k;
    return true;
}

static void skip_separators(struct cursor *c)
{
    while (at_one_of(c, " -/.,"))
        c->p++;
}

/* 3 Apr 2023, 03-Apr-23, Apr 3, 2023. */
static bool take_month_in_words(struct cursor *c, int64_t *ret_day)
{
    struct cursor k = *c;
    int64_t day = 0, year;
    bool day_first = take_digits(&k, 2, &day) > 0;
    skip_separators(&k);
    int month = month_of(take_word(&k));
    skip_separators(&k);
    if (month == 0 || (!day_first && take_digits(&k, 2, &day) == 0))
        return false;
    skip_separators(&k);
    int digits = take_digits(&k, 4, &year);
    if ((digits != 4 && digits != 2) || !stamp_day_of(full_year(year, digits), month, (int)day, ret_day))
        return false;
    *c = k;
    return true;
}

/* Mon, Tuesday, Mo. … before a date. */
static void skip_weekday(struct cursor *c)
{
    struct cursor k = *c;
    if (c->p < c->end && isdigit((unsigned char)*c->p))
        return;
    struct span word = take_word(&k);
    if (word.n < 2 || month_of(word) != 0)
        return;
    skip_separators(&k);
    *c = k;
}

static bool take_date(struct cursor *c, enum date_order order, int64_t *ret_day, bool *ret_free)
{
    skip_weekday(c);
    *ret_free = true;
    return take_year_first(c, ret_day) || take_year_last(c, order, ret_day, ret_free) ||
           take_month_in_words(c, ret_day);
}

bool stamp_date_read(struct span date, enum date_order order, int64_t *ret_day, bool *ret_order_free)
{
    date = span_trim(date);
    struct cursor c = {date.p, date.p + date.n};
    int64_t day;
    bool order_free;
    if (!take_date(&c, order, &day, &order_free) || c.p != c.end)
        return false;
    *ret_day = day;
    *ret_order_free = order_free;
    return true;
}

/* .fff or ,fff; also :mmm after the seconds, as some programs print milliseconds. */
static bool take_fraction(struct cursor *c, double *ret_fraction)
{
    if (!at_one_of(c, ".,:"))
        return false;
    struct cursor k = {c->p + 1, c->end};
    int64_t digits, rest;
    int count = take_digits(&k, 15, &digits);
    if (count == 0 || (*c->p == ':' && count != 3))
        return false;
    while (take_digits(&k, 15, &rest) > 0) { /* beyond a femtosecond */
    }
    static const double powers[] = {1,   1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                    1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};
    *ret_fraction = (double)digits / powers[count];
    *c = k;
    return true;
}

static bool take_half_day(struct cursor *c, int64_t *hour)
{
    struct cursor k = *c;
    skip_blanks(&k);
    struct span word = take_word(&k);
    bool afternoon = span_is_word(word, "pm") || span_is_word(word, "p");
    if (!afternoon && !span_is_word(word, "am") && !span_is_word(word, "a"))
        return true;
    if (*hour < 1 || *hour > 12)
        return false;
    *hour = *hour % 12 + (afternoon ? 12 : 0);
    *c = k;
    return true;
}

/* H:MM, H:MM:SS, H:MM:SS.fff, HHMMSS after a compact date's T. */
static bool take_clock(struct cursor *c, bool minutes_first, double *ret_s)
{
    struct cursor k = *c;
    int64_t first, second, third = 0;
    double fraction = 0;
    int digits = take_digits(&k, 9, &first);
    if (digits == 0)
        return false;
    if (digits == 6 && !at(&k, ':')) {
        third = first % 100, second = first / 100 % 100, first /= 10000;
        (void)take_fraction(&k, &fraction);
    } else {
        if (!take(&k, ':') || take_digits(&k, 2, &second) != 2)
            return false;
        if (take(&k, ':')) {
            if (take_digits(&k, 2, &third) != 2)
                return false;
            (void)take_fraction(&k, &fraction);
        } else if (take_fraction(&k, &fraction) || minutes_first) {
            third = second, second = first % 60, first /= 60;
        }
    }
    if (second > 59 || third > 60 || !take_half_day(&k, &first)) /* 60: a leap second, RFC 3339 */
        return false;
    *ret_s = (double)(first * 3600 + second * 60 + third) + fraction;
    *c = k;
    return true;
}

/* Z, UTC, GMT, +01:00, -0800, +02; false when something else stands there. */
static bool take_zone(struct cursor *c, double *ret_offset_s, bool *ret_zone)
{
    struct cursor k = *c;
    skip_blanks(&k);
    *ret_offset_s = 0;
    *ret_zone = k.p < k.end;
    if (k.p == k.end)
        return true;
    if (at(&k, '+') || at(&k, '-')) {
        double sign = *k.p++ == '-' ? -1 : 1;
        int64_t hours, minutes = 0;
        if (take_digits(&k, 2, &hours) != 2 || hours > 23)
            return false;
        (void)take(&k, ':');
        if (k.p < k.end && (take_digits(&k, 2, &minutes) != 2 || minutes > 59))
            return false;
        *ret_offset_s = sign * (double)(hours * 3600 + minutes * 60);
    } else {
        struct span word = take_word(&k);
        if (!span_is_word(word, "z") && !span_is_word(word, "utc") && !span_is_word(word, "gmt"))
            return false;
    }
    skip_blanks(&k);
    *c = k;
    return true;
}

/* 2d 03:04:05; 2 days, 3:04:05; 2.03:04:05; -0:00:01. */
static bool read_clock(const struct stamp_form *form, struct span text, double *ret_s)
{
    struct cursor c = {text.p, text.p + text.n}, k = c;
    double sign = take(&k, '-') ? -1 : 1;
    c = k;
    int64_t days = 0;
    if (take_digits(&k, 6, &days) > 0 && k.p < k.end && *k.p != ':') {
        bool dotted = take(&k, '.') || take(&k, '-');
        skip_blanks(&k);
        struct span word = take_word(&k);
        bool named = span_is_word(word, "d") || span_is_word(word, "day") || span_is_word(word, "days");
        skip_separators(&k);
        if (!named && !(dotted && word.n == 0))
            return false;
        c = k;
    } else {
        days = 0;
    }
    double s;
    if (!take_clock(&c, form->minutes_first, &s) || c.p != c.end)
        return false;
    *ret_s = sign * ((double)(days * SECONDS_A_DAY) + s);
    return true;
}

/* Mon Apr  3 12:00:00 2023: the C library's own form has the year last. */
static bool take_c_library_form(struct cursor *c, int64_t *ret_day, double *ret_s)
{
    struct cursor k = *c;
    skip_weekday(&k);
    int64_t day, year;
    int month = month_of(take_word(&k));
    skip_blanks(&k);
    if (month == 0 || take_digits(&k, 2, &day) == 0)
        return false;
    skip_blanks(&k);
    if (!take_clock(&k, false, ret_s))
        return false;
    skip_blanks(&k);
    if (take_digits(&k, 4, &year) != 4 || !stamp_day_of((int)year, month, (int)day, ret_day))
        return false;
    *c = k;
    return true;
}

/* One text: date, T or blanks or a comma, clock, zone. */
static bool read_dated(const struct stamp_form *form, struct span text, struct stamp *ret_stamp)
{
    struct cursor c = {text.p, text.p + text.n};
    int64_t day;
    double s = 0, offset;
    struct stamp read = {.order_free = true};
    if (!take_c_library_form(&c, &day, &s)) {
        if (!take_date(&c, form->order, &day, &read.order_free))
            return false;
        if (at_one_of(&c, "Tt_-:,"))
            c.p++;
        skip_blanks(&c);
        if (c.p < c.end && (!take_clock(&c, false, &s) || s > SECONDS_A_DAY))
            return false;
    }
    if (!take_zone(&c, &offset, &read.zone) || c.p != c.end)
        return false;
    read.s = (double)((day - form->base_day) * SECONDS_A_DAY) + s - offset;
    *ret_stamp = read;
    return true;
}

static bool read_two_cells(const struct stamp_form *form, struct span date, struct span time,
                           struct stamp *ret_stamp)
{
    struct stamp read = {0};
    int64_t day;
    double s, offset;
    struct cursor c = {time.p, time.p + time.n};
    if (!stamp_date_read(date, form->order, &day, &read.order_free) || !take_clock(&c, false, &s) ||
        s > SECONDS_A_DAY || !take_zone(&c, &offset, &read.zone) || c.p != c.end)
        return false;
    read.s = (double)((day - form->base_day) * SECONDS_A_DAY) + s - offset;
    *ret_stamp = read;
    return true;
}

bool stamp_read(const struct stamp_form *form, struct span date, struct span time, struct stamp *ret_stamp)
{
    time = span_trim(time);
    struct stamp read = {.order_free = true};
    bool ok = form->kind == STAMP_CLOCK ? read_clock(form, time, &read.s)
              : form->kind != STAMP_DATED ? false
              : date.p != NULL            ? read_two_cells(form, date, time, &read)
                                          : read_dated(form, time, &read);
    if (!ok || form->zones == (read.zone ? ZONES_ABSENT : ZONES_STATED))
        return false;
    *ret_stamp = read;
    return true;
}

bool stamp_form_find(struct span date, struct span time, struct stamp_form *ret_form)
{
    static const struct {
        enum stamp_kind kind;
        enum date_order order;
    } tries[] = {
        {STAMP_CLOCK, DATE_ORDER_UNKNOWN},
        {STAMP_DATED, DATE_ORDER_UNKNOWN},
        {STAMP_DATED, DATE_MONTH_FIRST},
    };
    for (size_t k = date.p != NULL; k < sizeof tries / sizeof *tries; k++) {
        struct stamp_form form = {.kind = tries[k].kind,
                                  .order = tries[k].order,
                                  .factor = 1,
                                  .absolute = tries[k].kind == STAMP_DATED};
        struct stamp read;
        if (!stamp_read(&form, date, time, &read))
            continue;
        if (read.order_free)
            form.order = DATE_ORDER_UNKNOWN;
        *ret_form = form;
        return true;
    }
    return false;
}

bool stamp_epoch_find(double number, struct stamp_form *ret_form)
{
    static const double factors[] = {1, 1e-3, 1e-6, 1e-9};
    for (size_t k = 0; k < sizeof factors / sizeof *factors; k++) {
        double s = number * factors[k];
        if (s >= 978307200 && s < 4102444800) { /* 2001-01-01 to 2100-01-01 */
            *ret_form = (struct stamp_form){.kind = STAMP_NUMBER, .absolute = true, .factor = factors[k]};
            return true;
        }
    }
    return false;
}
