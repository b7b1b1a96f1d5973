#include "teardown/gauge.h"

#include "base/number.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Far more than a pack has; the metal of a hundred conductors for a starter. */
static const double most_mm2 = 5000;

double awg_diameter_mm(double awg)
{
    return 0.127 * pow(92, (36 - awg) / 39);
}

double awg_area_mm2(double awg)
{
    double d = awg_diameter_mm(awg);
    return M_PI / 4 * d * d;
}

double awg_of_area(double area_mm2)
{
    return 36 - 39 * log(sqrt(4 * area_mm2 / M_PI) / 0.127) / log(92);
}

double gauge_area_mm2(const struct gauge *gauge)
{
    return gauge->parallel * gauge->area_mm2;
}

static void skip_blanks(struct span *rest)
{
    while (rest->n > 0 && (*rest->p == ' ' || *rest->p == '\t'))
        rest->p++, rest->n--;
}

static bool take(struct span *rest, const char *word)
{
    struct span at = *rest;
    skip_blanks(&at);
    size_t n = strlen(word);
    if (at.n < n || !span_is_word((struct span){at.p, n}, word))
        return false;
    *rest = (struct span){at.p + n, at.n - n};
    return true;
}

static bool take_times(struct span *rest)
{
    return take(rest, "×") || take(rest, "x") || take(rest, "*");
}

static bool take_number(struct span *rest, double *ret_value)
{
    skip_blanks(rest);
    size_t used = number_read(*rest, ',', ret_value, NULL);
    *rest = (struct span){rest->p + used, rest->n - used};
    return used > 0;
}

/* `10` or `2/0`, as a number of the gauge. */
static double awg_number(struct span *rest, double number)
{
    if (rest->n >= 2 && rest->p[0] == '/' && rest->p[1] == '0') {
        *rest = (struct span){rest->p + 2, rest->n - 2};
        return number >= 1 && number <= 4 ? 1 - number : NAN;
    }
    return number;
}

static bool is_whole(double number, double least, double most)
{
    return number == floor(number) && number >= least && number <= most;
}

/* What a number is followed by: a gauge, an area, or the second side of a bar. */
static bool take_size(struct span *rest, double number, struct gauge *gauge)
{
    double awg = awg_number(rest, number);
    if (take(rest, "AWG") || take(rest, "ga")) {
        gauge->awg = awg;
        gauge->area_mm2 = awg_area_mm2(awg);
        return is_whole(awg, -3, 40);
    }
    if (take(rest, "mm²") || take(rest, "mm2") || take(rest, "sqmm") || take(rest, "qmm")) {
        gauge->area_mm2 = number;
        return number > 0;
    }
    double second;
    bool bar = (take(rest, "mm") || true) && take_times(rest) && take_number(rest, &second) && take(rest, "mm");
    if (!bar || !(number > 0) || !(second > 0))
        return false;
    gauge->flat = true;
    gauge->width_mm = fmax(number, second);
    gauge->thickness_mm = fmin(number, second);
    gauge->area_mm2 = number * second;
    return true;
}

static bool read_all(struct span words, struct gauge *gauge)
{
    struct span rest = words, after;
    double number;
    if (take(&rest, "AWG")) {
        if (!take_number(&rest, &number))
            return false;
        gauge->awg = awg_number(&rest, number);
        gauge->area_mm2 = awg_area_mm2(gauge->awg);
        return is_whole(gauge->awg, -3, 40) && span_trim(rest).n == 0;
    }
    if (!take_number(&rest, &number))
        return false;
    after = rest;
    if (take_size(&rest, number, gauge) && span_trim(rest).n == 0)
        return true;
    *gauge = (struct gauge){.parallel = (int)number, .awg = NAN};
    rest = after;
    double size;
    return is_whole(number, 1, 1000) && take_times(&rest) && take_number(&rest, &size) &&
           take_size(&rest, size, gauge) && span_trim(rest).n == 0;
}

enum status gauge_read(struct span words, struct gauge *ret_gauge, struct message *message)
{
    struct gauge gauge = {.parallel = 1, .awg = NAN};
    if (read_all(span_trim(words), &gauge) && isfinite(gauge.area_mm2) && gauge_area_mm2(&gauge) <= most_mm2) {
        *ret_gauge = gauge;
        return STATUS_OK;
    }
    char shown[80];
    span_copy(words, shown, sizeof shown);
    status_fail(message, STATUS_USAGE, "'%s' is no size of a conductor", shown);
    return status_remedy(message, "write it as `10 AWG`, `2/0 AWG`, `16 mm²`, `4 x 10 AWG`, or a bar as `20 x 2 mm`");
}

void gauge_print(const struct gauge *gauge, char *buffer, size_t size)
{
    char times[16] = "", each[64];
    if (gauge->parallel > 1)
        snprintf(times, sizeof times, "%d × ", gauge->parallel);
    if (gauge->flat)
        snprintf(each, sizeof each, "%g × %g mm bar", gauge->width_mm, gauge->thickness_mm);
    else if (isnan(gauge->awg))
        snprintf(each, sizeof each, "%g mm²", gauge->area_mm2);
    else if (gauge->awg <= 0)
        snprintf(each, sizeof each, "%g/0 AWG (%.1f mm²)", 1 - gauge->awg, gauge->area_mm2);
    else
        snprintf(each, sizeof each, "%g AWG (%.3g mm²)", gauge->awg, gauge->area_mm2);
    snprintf(buffer, size, "%s%s", times, each);
}
