/* Stamps: what stands in a log's time column, and the seconds it means.
 *
 * Numbers: elapsed in a unit, or an epoch (Unix s, ms, µs, ns; a spreadsheet's days since 1899-12-30).
 * Texts: `H:MM:SS.fff` (the hour may pass 24), `MM:SS.f`, `2d 03:04:05`; a date with a time of day in
 * ISO 8601 / RFC 3339 form with or without zone, year first, `03.04.2023`, `03/04/2023`, or with the
 * month in words, and AM or PM; a date and a time of day in two columns.
 *
 * `03/04/2023` is the third of April or the fourth of March: the order of days and months is found
 * from the log or refused, never assumed. */
#ifndef RUNDOWN_INTAKE_STAMP_H
#define RUNDOWN_INTAKE_STAMP_H

#include "base/text.h"

#include <stdint.h>

enum stamp_kind {
    STAMP_NUMBER, /* elapsed, or an epoch when `absolute` */
    STAMP_CLOCK,  /* H:MM:SS without a date: elapsed or time of day */
    STAMP_DATED,  /* a calendar date with a time of day */
};

enum date_order { DATE_ORDER_UNKNOWN, DATE_DAY_FIRST, DATE_MONTH_FIRST };

/* A log states a zone in all its dates or in none: one without it among others that have it would lie hours away
 * from its neighbours, and is not read. */
enum stamp_zones { ZONES_UNKNOWN, ZONES_STATED, ZONES_ABSENT };

struct stamp_form {
    enum stamp_kind kind;
    enum date_order order; /* of dates such as 03/04/2023 */
    enum stamp_zones zones;
    bool absolute;         /* tells the calendar date */
    bool minutes_first;    /* `a:b` is minutes and seconds, not hours and minutes */
    double factor;         /* of a number, to seconds */
    double origin_s;       /* Unix time of the number 0, when absolute */
    int64_t base_day;      /* STAMP_DATED counts from this day's midnight: small numbers keep their digits */
};

/* Seconds in the form's own count: elapsed, of the day, or from base_day (UTC when a zone stands). */
struct stamp {
    double s;
    bool zone;       /* a zone stood in the text */
    bool order_free; /* the date reads the same whichever of day and month comes first */
};

/* Reads a whole cell, or a date cell and a time-of-day cell (`date.p` NULL when there is none). */
bool stamp_read(const struct stamp_form *form, struct span date, struct span time, struct stamp *ret_stamp);

/* Could these cells be a clock or a date with a clock? Fills what kind it is. */
bool stamp_form_find(struct span date, struct span time, struct stamp_form *ret_form);

/* A date alone. */
bool stamp_date_read(struct span date, enum date_order order, int64_t *ret_day, bool *ret_order_free);

/* Days from 1970-01-01 in the Gregorian calendar; false for a day that does not exist. */
bool stamp_day_of(int year, int month, int day, int64_t *ret_day);

/* The calendar's year, month and day of such a day, from 1900 to 2199; false beyond. */
bool stamp_date_of(int64_t day, int *ret_year, int *ret_month, int *ret_day);

/* An epoch by its size: Unix time in s, ms, µs or ns between 2001 and 2100. */
bool stamp_epoch_find(double number, struct stamp_form *ret_form);

#endif
