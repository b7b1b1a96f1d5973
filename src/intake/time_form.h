/* Forms of time: what stands in a log's time column, and the seconds it means.
 *
 * Numbers: elapsed in a unit, or an epoch (Unix s, ms, µs, ns; a spreadsheet's days since 1899-12-30).
 * Texts: `H:MM:SS.fff` (the hour may pass 24), `MM:SS.f`, `2d 03:04:05`; a date with a time of day in
 * ISO 8601 / RFC 3339 form with or without zone, year first, `03.04.2023`, `03/04/2023`, or with the
 * month in words, and AM or PM; a date and a time of day in two columns.
 *
 * `03/04/2023` is the third of April or the fourth of March: the order of days and months is found
 * from the log or refused, never assumed. */
#ifndef RUNDOWN_INTAKE_TIME_FORM_H
#define RUNDOWN_INTAKE_TIME_FORM_H

#include "base/text.h"

#include <stdint.h>

enum time_kind {
    TIME_NUMBER, /* elapsed, or an epoch when `absolute` */
    TIME_CLOCK,  /* H:MM:SS without a date: elapsed or time of day */
    TIME_DATED,  /* a calendar date with a time of day */
};

enum date_order { DATE_ORDER_UNKNOWN, DATE_DAY_FIRST, DATE_MONTH_FIRST };

struct time_form {
    enum time_kind kind;
    enum date_order order;   /* of dates such as 03/04/2023 */
    bool absolute;           /* tells the calendar date */
    bool minutes_first;      /* `a:b` is minutes and seconds, not hours and minutes */
    double factor;           /* of a number, to seconds */
    double origin_s;         /* Unix time of the number 0, when absolute */
    int64_t base_day;        /* TIME_DATED counts from this day's midnight: small numbers keep their digits */
};

/* Seconds in the form's own count: elapsed, of the day, or from base_day (UTC when a zone stands). */
struct time_read {
    double s;
    bool zone;         /* a zone stood in the text */
    bool order_free;   /* the date reads the same whichever of day and month comes first */
};

/* Reads a whole cell, or a date cell and a time-of-day cell (`date.p` NULL when there is none). */
bool time_form_read(const struct time_form *form, struct span date, struct span time, struct time_read *ret_read);

/* Could these cells be a clock or a date with a clock? Fills what kind it is. */
bool time_form_find(struct span date, struct span time, struct time_form *ret_form);

/* A date alone. */
bool time_date_read(struct span date, enum date_order order, int64_t *ret_day, bool *ret_order_free);

/* Days from 1970-01-01 in the Gregorian calendar; false for a day that does not exist. */
bool time_day_of(int year, int month, int day, int64_t *ret_day);

/* An epoch by its size: Unix time in s, ms, µs or ns between 2001 and 2100. */
bool time_epoch_find(double number, struct time_form *ret_form);

#endif
