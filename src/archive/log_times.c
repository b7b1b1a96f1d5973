#include "archive/log_times.h"

enum { DECIMALS_MOST = 12 };
static const double exact = 9007199254740992.0; /* 2^53 */

static double power_of_ten(int n) /* 0 to 22: exact */
{
    static const double powers[] = {1,    1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                    1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};
    return powers[n];
}

/* value = mantissa / 10^decimals to the last bit? */
static bool is_decimal(double value, int decimals, int64_t *ret_mantissa)
{
    double scaled = value * power_of_ten(decimals);
    if (!(fabs(scaled) < exact) || (double)llround(scaled) / power_of_ten(decimals) != value)
        return false;
    *ret_mantissa = llround(scaled);
    return true;
}

bool log_times_set(double factor, double shift, int decimals, struct log_times *ret_times)
{
    struct log_times times = {.factor = factor, .shift = shift, .decimals = decimals};
    if (!(factor > 0) || decimals < 0 || decimals > DECIMALS_MOST || !is_decimal(-shift, decimals, &times.zero))
        return false;
    while (times.step_decimals <= DECIMALS_MOST && !is_decimal(factor, times.step_decimals, &times.step))
        times.step_decimals++;
    if (times.step_decimals > DECIMALS_MOST || times.step == 0)
        return false;
    *ret_times = times;
    return true;
}

/* As llround, without a call: x is near a whole number, or the check that follows fails. */
static inline int64_t nearest(double x)
{
    return (int64_t)(x + (x < 0 ? -0.5 : 0.5));
}

/* The number that was printed, as a mantissa; false when it does not give the time back. */
static bool number_of(const struct log_times *times, double t_s, int64_t *ret_mantissa)
{
    double ten = power_of_ten(times->decimals), scaled = (t_s / times->factor - times->shift) * ten;
    if (!(fabs(scaled) < exact))
        return false;
    int64_t mantissa = nearest(scaled), product;
    if (((double)mantissa / ten + times->shift) * times->factor != t_s ||
        __builtin_mul_overflow(mantissa - times->zero, times->step, &product) || llabs(product) > 999999999999999999)
        return false;
    *ret_mantissa = mantissa;
    return true;
}

/* The fewest decimals, from `least` to `most`, with which the rule gives every time and never goes back. */
static bool holds(const struct series *series, double factor, double shift, int least, int most,
                  struct log_times *ret_times)
{
    struct log_times times;
    while (least <= most && !log_times_set(factor, shift, least, &times))
        least++;
    double before = -INFINITY;
    for (size_t k = 0; k < series->count && least <= most; k++) {
        int64_t mantissa;
        while (least <= most && !number_of(&times, series->t_s[k], &mantissa))
            if (++least <= most && !log_times_set(factor, shift, least, &times))
                return false;
        if (least > most)
            return false;
        double number = (double)mantissa / power_of_ten(times.decimals);
        if (number < before)
            return false;
        before = number;
    }
    if (least <= most)
        *ret_times = times;
    return least <= most;
}

/* All times were printed with the same decimals: how many; -1 when not. */
static int uniform_decimals(const struct log *log)
{
    const uint8_t *byte = log->digits.time;
    if (byte == NULL || log->digits.printed != NULL)
        return -1;
    for (size_t k = 0; k < log->series.count; k++)
        if (byte[k] < DIGITS_LEAST || (byte[k] & ~DIGITS_MINUS) != (byte[0] & ~DIGITS_MINUS))
            return -1;
    return (byte[0] & ~DIGITS_MINUS) - DIGITS_ZERO;
}

static bool holds_as_printed(const struct log *log)
{
    const uint8_t *byte = log->digits.time;
    bool plain = byte != NULL && log->digits.printed == NULL && log->digits.time_unit.factor == 1 &&
                 log->digits.time_unit.shift == 0;
    for (size_t k = 0; plain && k < log->series.count; k++)
        plain = byte[k] >= DIGITS_LEAST;
    return plain;
}

struct log_times log_times_find(const struct log *log)
{
    const struct unit *unit = &log->digits.time_unit;
    if (holds_as_printed(log))
        return (struct log_times){.each = true, .as_printed = true, .factor = 1};
    int printed = uniform_decimals(log);
    struct log_times times;
    if (printed >= 0 && holds(&log->series, unit->factor, unit->shift, printed, printed, &times))
        return times;
    if (holds(&log->series, unit->factor, unit->shift, 0, DECIMALS_MOST, &times) ||
        holds(&log->series, 1, 0, 0, DECIMALS_MOST, &times))
        return times;
    return (struct log_times){.each = true, .factor = 1};
}

bool log_times_hold_printed(const struct log *log, const struct log_times *times)
{
    const struct unit *unit = &log->digits.time_unit;
    return log->digits.time == NULL || times->as_printed || (!times->each && times->factor == unit->factor && times->shift == unit->shift &&
                                        times->decimals == uniform_decimals(log));
}

/* As few digits as give the double back, at most 17. */
static struct decimal shortest(double t_s)
{
    struct decimal decimal = {.kind = DECIMAL_ODD};
    for (int digits = 15; digits <= 17; digits++) {
        char text[DECIMAL_TEXT];
        snprintf(text, sizeof text, "%.*g", digits, t_s);
        (void)decimal_read(span_of(text), '.', &decimal);
        if (decimal_value(decimal) == t_s)
            break;
    }
    return decimal;
}

void log_times_decimals(const struct log_times *times, const struct log *log, size_t from, size_t count,
                        struct decimal *ret_decimals)
{
    const double *t_s = log->series.t_s + from;
    if (times->as_printed) {
        digits_decimals(log->digits.time + from, t_s, count, &log->digits.time_unit, ret_decimals);
        return;
    }
    double ten = times->each ? 1 : power_of_ten(times->decimals);
    for (size_t k = 0; k < count; k++) {
        if (times->each) {
            ret_decimals[k] = shortest(t_s[k]);
            continue;
        }
        int64_t mantissa = nearest((t_s[k] / times->factor - times->shift) * ten);
        ret_decimals[k] = (struct decimal){.mantissa = (mantissa - times->zero) * times->step,
                                           .decimals = (int8_t)(times->decimals + times->step_decimals),
                                           .kind = DECIMAL_NUMBER};
    }
}

static double seconds_of(const struct log_times *times, struct decimal decimal)
{
    if (times->each || decimal.kind != DECIMAL_NUMBER || decimal.decimals != times->decimals + times->step_decimals)
        return decimal_value(decimal);
    int64_t mantissa = decimal.mantissa / times->step + times->zero;
    double number = (double)mantissa / power_of_ten(times->decimals);
    return (number + times->shift) * times->factor;
}

void log_times_seconds(const struct log_times *times, const struct decimal *decimals, size_t count, double *ret_t_s)
{
    bool plain = times->each || (times->factor == 1 && times->shift == 0);
    if (plain)
        decimal_values(decimals, count, ret_t_s);
    for (size_t k = 0; k < count && !plain; k++)
        ret_t_s[k] = seconds_of(times, decimals[k]);
}
