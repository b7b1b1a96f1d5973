#include "bench/calls.h"

#include "base/number.h"
#include "base/text.h"

#include <stdarg.h>

const char *call_kind_name(enum call_kind kind)
{
    static const char *const names[CALL_KINDS] = {
        [CALL_CUE] = "cue",       [CALL_RATED_CHARGE] = "rated charge", [CALL_RATED_ENERGY] = "rated energy",
        [CALL_STEP] = "step",     [CALL_KNEE] = "knee",                 [CALL_END] = "end",
        [CALL_LIMIT] = "limit",   [CALL_SILENT] = "silent",             [CALL_HEARD] = "heard again",
        [CALL_CLOCK] = "clock",   [CALL_DISK] = "disk",                 [CALL_TOO_WIDE] = "too wide",
    };
    return names[kind];
}

enum call_kind call_kind_of(const char *name)
{
    int kind = 0;
    while (kind < CALL_KINDS && strcmp(call_kind_name((enum call_kind)kind), name) != 0)
        kind++;
    return (enum call_kind)kind;
}

struct call call_make(enum call_kind kind, double t_s, bool urgent, const char *text, ...)
{
    struct call call = {.kind = kind, .t_s = t_s, .urgent = urgent};
    char whole[2 * sizeof call.text];
    va_list args;
    va_start(args, text);
    vsnprintf(whole, sizeof whole, text, args);
    va_end(args);
    span_copy(span_of(whole), call.text, sizeof call.text);
    return call;
}

struct call call_silent(double t_s, const char *instrument, double for_s, const char *cause)
{
    char duration[32];
    if (for_s < 1 && cause[0] != '\0') /* no silence worth a number: what matters is why */
        return call_make(CALL_SILENT, t_s, true, "%s is lost, %s: the recording goes on without it.", instrument,
                         cause);
    number_print_duration(for_s, duration, sizeof duration);
    return call_make(CALL_SILENT, t_s, true, "%s has said nothing for %s%s%s: the recording goes on without it.",
                     instrument, duration, cause[0] != '\0' ? ", " : "", cause);
}

struct call call_heard(double t_s, const char *instrument, double gap_s)
{
    char duration[32];
    number_print_duration(gap_s, duration, sizeof duration);
    return call_make(CALL_HEARD, t_s, false, "%s speaks again after %s; the gap is marked.", instrument, duration);
}

struct call call_clock_stepped(double t_s, double by_s)
{
    char duration[32];
    number_print_duration(fabs(by_s), duration, sizeof duration);
    return call_make(CALL_CLOCK, t_s, false,
                     "The wall clock was set %s by %s; readings are stamped by another clock and stay as they are.",
                     by_s < 0 ? "back" : "forward", duration);
}

struct call call_disk_low(double t_s, double free_bytes, double lasts_s)
{
    char lasts[64] = "";
    if (isfinite(lasts_s))
        snprintf(lasts, sizeof lasts, ", enough for about %.2g h", lasts_s / 3600);
    return call_make(CALL_DISK, t_s, true, "The disk has %.3g MB left%s: make room, the book cannot grow without it.",
                     free_bytes / 1e6, lasts);
}
