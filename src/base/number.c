#include "base/number.h"

#include <ctype.h>
#include <time.h>

/* The C library rounds correctly; it gets the text in the form it knows in the "C" locale, which is
 * the one every program starts in and which Rundown never leaves. */
size_t number_read(struct span span, char decimal, double *ret_value, int *ret_decimals)
{
    char plain[64];
    size_t used = 0, digits = 0;
    int decimals = 0;
    if (used < span.n && (span.p[used] == '-' || span.p[used] == '+'))
        used++;
    while (used < span.n && isdigit((unsigned char)span.p[used]))
        used++, digits++;
    bool range = used + 1 < span.n && span.p[used] == '.' && span.p[used + 1] == '.';
    if (used < span.n && (span.p[used] == decimal || span.p[used] == '.') && !range) {
        size_t start = used++;
        while (used < span.n && isdigit((unsigned char)span.p[used]))
            used++, digits++, decimals++;
        if (digits == 0)
            used = start;
    }
    if (digits == 0 || used >= sizeof plain)
        return 0;
    size_t mark = used;
    if (mark < span.n && (span.p[mark] == 'e' || span.p[mark] == 'E')) {
        mark++;
        if (mark < span.n && (span.p[mark] == '-' || span.p[mark] == '+'))
            mark++;
        int sign = span.p[mark - 1] == '-' ? -1 : 1, exponent = 0;
        size_t first = mark;
        while (mark < span.n && isdigit((unsigned char)span.p[mark])) {
            exponent = exponent < 1000 ? exponent * 10 + (span.p[mark] - '0') : exponent;
            mark++;
        }
        if (mark > first && mark < sizeof plain) {
            decimals -= sign * exponent;
            used = mark;
        }
    }
    for (size_t k = 0; k < used; k++)
        plain[k] = span.p[k] == decimal ? '.' : span.p[k];
    plain[used] = '\0';
    double value = strtod(plain, NULL);
    if (!isfinite(value))
        return 0;
    *ret_value = value;
    if (ret_decimals != NULL)
        *ret_decimals = decimals;
    return used;
}

bool number_is(struct span span, char decimal, double *ret_value)
{
    double value;
    span = span_trim(span);
    size_t used = number_read(span, decimal, &value, NULL);
    if (used == 0 || used != span.n)
        return false;
    *ret_value = value;
    return true;
}

int number_decimals(double u)
{
    if (!(u > 0) || !isfinite(u))
        return -1;
    int decimals = 1 - (int)floor(log10(u));
    if (u * pow(10, decimals) >= 99.5) /* 0.0996 rounds to 0.10: two digits are one decimal less */
        decimals--;
    return decimals < 0 ? 0 : decimals > 12 ? 12 : decimals;
}

void number_print(double value, double u, char *buffer, size_t size)
{
    if (isnan(value)) {
        snprintf(buffer, size, "%s", "–");
        return;
    }
    int decimals = number_decimals(u);
    char plain[64];
    if (decimals >= 0)
        snprintf(plain, sizeof plain, "%.*f", decimals, fabs(value));
    else
        snprintf(plain, sizeof plain, "%.5g", fabs(value));
    bool zero = strspn(plain, "0.") == strlen(plain);
    snprintf(buffer, size, "%s%s", value < 0 && !zero ? "−" : "", plain);
}

void number_print_duration(double seconds, char *buffer, size_t size)
{
    if (!isfinite(seconds)) {
        snprintf(buffer, size, "%s", "–");
        return;
    }
    const char *sign = seconds < 0 ? "−" : "";
    double s = fabs(seconds);
    if (s < 59.95) {
        snprintf(buffer, size, "%s%.1f s", sign, s);
        return;
    }
    if (s > 3.6e12) { /* a thousand million hours is no duration, and soon no whole number either */
        snprintf(buffer, size, "%s%.3g s", sign, s);
        return;
    }
    long whole = (long)floor(s + 0.5);
    long hours = whole / 3600, minutes = whole / 60 % 60, rest = whole % 60;
    snprintf(buffer, size, "%s%ld:%02ld:%02ld", sign, hours, minutes, rest); /* 4:04 might be four hours */
}

void number_print_instant(double utc_s, char buffer[static NUMBER_INSTANT])
{
    struct tm parts;
    time_t whole = isfinite(utc_s) && fabs(utc_s) < 1e11 ? (time_t)utc_s : 0;
    buffer[0] = '\0';
    if (isfinite(utc_s) && fabs(utc_s) < 1e11 && gmtime_r(&whole, &parts) != NULL)
        strftime(buffer, NUMBER_INSTANT, "%Y-%m-%dT%H:%M:%S", &parts);
}
