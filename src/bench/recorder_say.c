/* What somebody types while the test runs: readings by eye of that instant, and marks. */
#include "bench/recorder_parts.h"

#include "archive/stored.h"
#include "base/memory.h"
#include "intake/readings.h"

static double middle(const struct instant *instant, enum channel channel)
{
    for (size_t k = 0; k < instant->count; k++)
        if (instant->values[k].channel == channel)
            return instant->values[k].value;
    return NAN;
}

/* Typed amps carry no sign of their own: they flow the way of the test. */
static struct reading_now now_of(const struct recorder *recorder, const struct instant *instant, double t_s)
{
    struct reading_now now = reading_none(t_s);
    double a = middle(instant, CHANNEL_CURRENT);
    now.v = middle(instant, CHANNEL_VOLTAGE);
    now.a = recorder->request.kind == TEST_CHARGE ? -fabs(a) : fabs(a);
    now.degc = middle(instant, CHANNEL_TEMPERATURE);
    now.ambient_degc = middle(instant, CHANNEL_AMBIENT);
    return now;
}

struct typed_line *recorder_typed(struct recorder *recorder, const struct instant *instant, double t_s)
{
    recorder->typed = memory_grow(recorder->typed, recorder->typed_count, &recorder->typed_room);
    struct typed_line *line = &recorder->typed[recorder->typed_count++];
    *line = (struct typed_line){.now = now_of(recorder, instant, t_s), .reading = instant->count > 0};
    recorder->typed_last_s = t_s;
    if (line->reading) {
        latest_typed(recorder->latest, &line->now);
        recorder->readings++;
    }
    return line;
}

enum status recorder_line(struct span typed, struct instant *ret_instant, struct message *message)
{
    static const struct readings_form form = {.times = TIMES_ELAPSED, .had = HAD_SEEN};
    struct notices notices = {0};
    enum status status = readings_line(&form, "typed", 1, typed, ret_instant, &notices, message);
    notices_free(&notices);
    if (status != STATUS_OK || !isfinite(ret_instant->t_s))
        return status;
    instant_free(ret_instant);
    status_fail(message, STATUS_MALFORMED, "a line that is typed while the test runs needs no time: it is of this instant");
    return status_remedy(message, "leave the time away");
}

/* What a person types is rare, and nobody can say it again: it does not wait for its second. */
static void commit_soon(struct recorder *recorder)
{
    recorder->commit_due_ns = recorder->clock.now_ns(recorder->clock.context);
}

enum status recorder_say(struct recorder *recorder, const char *line, int64_t at_ns, struct message *message)
{
    double t_s = fmax(recorder_at_s(recorder, at_ns), recorder->from_s);
    t_s = fmax(t_s, isfinite(recorder->typed_last_s) ? recorder->typed_last_s : 0);
    struct span words = span_trim(span_of(line));
    if (words.n == 0)
        words = span_of("mark");
    struct instant instant = {0};
    enum status status = recorder_line(words, &instant, message);
    if (status != STATUS_OK)
        return status;
    struct typed_line *typed = recorder_typed(recorder, &instant, t_s);
    typed->text = memory_get(words.n + 1);
    memcpy(typed->text, words.p, words.n);
    recorder_event(recorder, typed->reading ? EVENT_LINE : EVENT_MARK, NULL, t_s, NAN,
                   typed->reading ? "seen" : "mark", "%s", typed->text);
    if (typed->reading && recorder_instruments(recorder) == 0)
        recorder_watch(recorder, &typed->now);
    instant_free(&instant);
    commit_soon(recorder);
    return STATUS_OK;
}

size_t recorder_lines(const struct recorder *recorder)
{
    return recorder->typed_count - recorder->typed_before;
}

double recorder_line_s(const struct recorder *recorder, size_t line, bool *ret_reading)
{
    const struct typed_line *typed = &recorder->typed[recorder->typed_before + line];
    *ret_reading = typed->reading;
    return typed->now.t_s;
}

/* The watch and the screen as if the line had never been; what it gave rise to was said. */
static void forget(struct recorder *recorder)
{
    latest_forget_typed(recorder->latest);
    bool watched = recorder_instruments(recorder) == 0;
    if (watched) {
        watch_free(recorder->watch);
        recorder->watch = recorder_new_watch(recorder);
    }
    for (size_t k = 0; k < recorder->typed_count; k++) {
        const struct typed_line *line = &recorder->typed[k];
        struct call calls[WATCH_CALLS];
        if (!line->reading || line->taken_back)
            continue;
        latest_typed(recorder->latest, &line->now);
        if (watched)
            (void)watch_reading(recorder->watch, &line->now, calls);
    }
}

enum status recorder_take_back(struct recorder *recorder, size_t line, struct message *message)
{
    if (line >= recorder_lines(recorder))
        return status_fail(message, STATUS_USAGE, "there is no such line");
    struct typed_line *typed = &recorder->typed[recorder->typed_before + line];
    if (typed->taken_back)
        return status_fail(message, STATUS_USAGE, "it was taken back already");
    typed->taken_back = true;
    recorder_event(recorder, EVENT_NOTE, NULL, typed->now.t_s, NAN, stored_taken_back, "%s", typed->text);
    if (typed->reading) {
        recorder->readings--;
        forget(recorder);
    }
    commit_soon(recorder);
    return STATUS_OK;
}
