/* What comes from the instruments, and what the recorder itself notices. */
#include "bench/recorder_parts.h"

#include "base/memory.h"

#include <stdarg.h>
#include <sys/stat.h>
#include <sys/statvfs.h>

static const double second_ns = 1e9, step_s = 0.5, look_at_disk_s = 10, say_again_s = 600;

const char recorder_stopped[] = "stopped";

double recorder_now_s(const struct recorder *recorder)
{
    return recorder_at_s(recorder, recorder->clock.now_ns(recorder->clock.context));
}

static void wait_for_commit(struct recorder *recorder)
{
    if (isnan(recorder->waiting_since_s))
        recorder->waiting_since_s = recorder_now_s(recorder);
}

void recorder_event(struct recorder *recorder, enum event_kind kind, const struct recorder_source *source,
                    double t_s, double until_s, const char *topic, const char *text, ...)
{
    if (recorder->event_count >= RECORDER_EVENTS) {
        recorder->events_lost++;
        return;
    }
    struct text words = TEXT_EMPTY;
    char whole[1024];
    va_list args;
    va_start(args, text);
    vsnprintf(whole, sizeof whole, text, args);
    va_end(args);
    text_add(&words, whole);
    recorder->events = memory_grow(recorder->events, recorder->event_count, &recorder->event_room);
    struct held_event *held = &recorder->events[recorder->event_count++];
    *held = (struct held_event){{.kind = kind, .t_s = t_s, .until_s = until_s, .text = words.s}, source};
    snprintf(held->event.topic, sizeof held->event.topic, "%s", topic);
    wait_for_commit(recorder);
}

void recorder_call(struct recorder *recorder, const struct call *call)
{
    recorder_event(recorder, EVENT_CALL, NULL, call->t_s, NAN, call_kind_name(call->kind), "%s", call->text);
    on_call(&recorder->on_call, call);
    if (recorder->told_count < RECORDER_TOLD)
        recorder->told[recorder->told_count++] = *call;
    else if (call->urgent)
        recorder->told[RECORDER_TOLD - 1] = *call;
}

void recorder_watch(struct recorder *recorder, const struct reading_now *now)
{
    struct call calls[WATCH_CALLS];
    size_t count = watch_reading(recorder->watch, now, calls);
    for (size_t k = 0; k < count; k++)
        recorder_call(recorder, &calls[k]);
}

/* A loose plug comes and goes for hours: its first three losses are called, then one in ten minutes. The book has
 * them all. Common practice, no source. */
static bool worth_saying(struct recorder_source *source, double at_s)
{
    bool worth = source->times_away++ < 3 || at_s - source->said_away_s > say_again_s;
    if (worth)
        source->said_away_s = at_s;
    return worth;
}

static void mark_gap(struct recorder *recorder, struct recorder_source *source, double until_s)
{
    recorder_event(recorder, EVENT_GAP, source, source->away_from_s, until_s, source->away_topic, "%s",
                   source->away_cause);
    source->away = false;
}

/* A gap opens: the next reading closes it. */
static void go_away(struct recorder *recorder, struct recorder_source *source, const char *topic,
                    const char *cause, double at_s)
{
    recorder_event(recorder, EVENT_LINK, source, at_s, NAN, topic, "%s: %s", source->link->name, cause);
    double from_s = isfinite(source->last_s) ? source->last_s : recorder->from_s;
    if (source->away && strcmp(source->away_topic, recorder_stopped) == 0) {
        from_s = fmax(at_s, source->away_from_s); /* until now nobody listened: another cause */
        mark_gap(recorder, source, from_s);
    }
    snprintf(source->away_topic, sizeof source->away_topic, "%s", topic);
    snprintf(source->away_cause, sizeof source->away_cause, "%s", cause);
    if (source->away)
        return;
    source->away = true;
    source->away_from_s = from_s;
    source->away_said = worth_saying(source, at_s);
    struct call call = call_silent(at_s, source->link->name, fmax(at_s - source->arrived_s, 0),
                                   strcmp(topic, "silent") == 0 ? "" : cause);
    if (source->away_said)
        recorder_call(recorder, &call);
}

static void come_back(struct recorder *recorder, struct recorder_source *source, double t_s)
{
    struct call call = call_heard(t_s, source->link->name, fmax(t_s - source->away_from_s, 0));
    mark_gap(recorder, source, t_s);
    if (source->away_said)
        recorder_call(recorder, &call);
}

static void tell_clock(struct recorder *recorder, const struct recorder_source *source,
                       enum clock_trouble trouble, double by_s, double t_s)
{
    const char *name = source->link->name;
    struct call call;
    switch (trouble) {
    case CLOCK_BEGAN_AGAIN:
        call = call_make(CALL_CLOCK, t_s, false,
                         "%s began its time again, %.4g s back: it was switched off or reset; its "
                         "readings are tied to the run's clock anew.",
                         name, by_s);
        break;
    case CLOCK_STOOD_STILL:
        call = call_make(CALL_CLOCK, t_s, false,
                         "The time of %s stood still for %.4g s while it was away; its readings are "
                         "tied to the run's clock anew.",
                         name, by_s);
        break;
    case CLOCK_WALKS:
        call = call_make(CALL_CLOCK, t_s, false,
                         "The time of %s and the run's clock have gone %.3g s apart; its readings "
                         "keep its own time.",
                         name, fabs(by_s));
        break;
    default: return;
    }
    recorder_call(recorder, &call);
}

/* A tally that falls by more than half, from more than half an Ah, has begun again: none counts down so fast. */
static void look_at_tallies(struct recorder *recorder, struct recorder_source *source,
                            const struct arrival *arrival, double t_s)
{
    for (int c = 0; c < source->link->channel_count; c++) {
        const struct link_channel *channel = &source->link->channels[c];
        if (channel->channel != CHANNEL_CHARGE_TALLY && channel->channel != CHANNEL_ENERGY_TALLY)
            continue;
        double now = unit_own(decimal_value(arrival->cells[c]), &channel->unit), before = source->tally[c];
        if (!isfinite(now))
            continue;
        source->tally[c] = now;
        if (!(fabs(before) > 0.5) || fabs(now) > fabs(before) / 2)
            continue;
        struct call call =
            call_make(CALL_CLOCK, t_s, false, "The %s of %s fell from %.5g to %.5g %s: it began again.",
                      channel->name, source->link->name, before, now, quantity_symbol(channel->quantity));
        recorder_call(recorder, &call);
    }
}

static void keep(struct recorder *recorder, struct recorder_source *source, struct decimal stamp,
                 const struct arrival *arrival)
{
    if (held_add(&source->held, stamp, arrival->cells, arrival->odd, recorder_cells_left(recorder))) {
        wait_for_commit(recorder);
        return;
    }
    if (source->lost++ == 0)
        source->lost_from_s = source->last_s;
    source->lost_until_s = decimal_value(stamp);
}

static void take_reading(struct recorder *recorder, struct recorder_source *source, const struct news *news)
{
    enum clock_trouble trouble;
    double by_s = 0, w;
    struct decimal stamp = timeline_stamp(&source->timeline, &news->arrival, &trouble, &by_s);
    double t_s = decimal_value(stamp);
    if (source->away)
        come_back(recorder, source, t_s);
    tell_clock(recorder, source, trouble, by_s, t_s);
    look_at_tallies(recorder, source, &news->arrival, t_s);
    keep(recorder, source, stamp, &news->arrival);
    source->last_s = t_s;
    source->arrived_s = timeline_s(&source->timeline, news->at_ns);
    source->readings++;
    recorder->readings++;
    latest_heard(recorder->latest, news->instrument, &news->arrival, t_s);
    size_t pace = latest_pace(recorder->latest);
    if (news->instrument == pace || recorder->sources[pace].away || recorder->sources[pace].ended) {
        struct reading_now now = latest_now(recorder->latest, t_s, &w);
        recorder_watch(recorder, &now);
    }
}

static bool power_of_two(size_t n)
{
    return (n & (n - 1)) == 0;
}

void recorder_hear(struct recorder *recorder, const struct news *news)
{
    struct recorder_source *source = &recorder->sources[news->instrument];
    double at_s = timeline_s(&source->timeline, news->at_ns);
    switch (news->kind) {
    case NEWS_READING: take_reading(recorder, source, news); break;
    case NEWS_CONNECTED:
        snprintf(source->identity, sizeof source->identity, "%s", news->text);
        recorder_event(recorder, EVENT_LINK, source, at_s, NAN,
                       source->ever ? "connected again" : "connected", "%s%s%s", source->link->name,
                       news->text[0] != '\0' ? ": " : "", news->text);
        source->connected = source->ever = true;
        break;
    case NEWS_LOST:
        source->connected = false;
        timeline_away(&source->timeline);
        go_away(recorder, source, "lost", news->text, at_s);
        break;
    case NEWS_SILENT: go_away(recorder, source, "silent", news->text, at_s); break;
    case NEWS_GARBAGE: /* a line that chatters for days is told at 1, 2, 4, 8 … */
        if (power_of_two(++source->garbage))
            recorder_event(recorder, EVENT_LINK, source, at_s, NAN, "garbage", "%s: %s", source->link->name,
                           news->text);
        break;
    case NEWS_END:
        source->ended = true;
        source->connected = false;
        recorder_event(recorder, EVENT_LINK, source, at_s, NAN, "no more", "%s has no more%s%s",
                       source->link->name, news->text[0] != '\0' ? ": " : "", news->text);
        break;
    }
}

void recorder_take_leave(struct recorder *recorder, double at_s)
{
    for (size_t k = 0; k < recorder->links.count; k++) {
        struct recorder_source *source = &recorder->sources[k];
        if (source->away)
            recorder_event(recorder, EVENT_GAP, source, source->away_from_s, fmax(at_s, source->away_from_s),
                           source->away_topic, "%s, until the end", source->away_cause);
        source->away = false;
        if (source->garbage > 0)
            recorder_event(recorder, EVENT_NOTE, source, at_s, NAN, "garbage",
                           "%s sent what was no reading, %zu times told", source->link->name,
                           source->garbage);
    }
}

/* UTC against the monotonic clock; the pair is read again when the machine was elsewhere in between. */
static void look_at_clock(struct recorder *recorder)
{
    const struct clock *clock = &recorder->clock;
    double tolerated_ns = step_s * second_ns * clock->rate;
    int64_t before = clock->now_ns(clock->context), utc = clock->utc_ns(clock->context);
    int64_t after = clock->now_ns(clock->context), ahead = utc - before;
    if ((double)(after - before) > tolerated_ns / 10)
        return;
    double by_ns = (double)(ahead - recorder->utc_ahead_ns);
    recorder->utc_ahead_ns = ahead;
    if (fabs(by_ns) < tolerated_ns)
        return;
    struct call call = call_clock_stepped(recorder_now_s(recorder), by_ns / second_ns);
    recorder_call(recorder, &call);
}

static double bytes_of(const char *book, const char *end)
{
    struct text path = TEXT_EMPTY;
    text_addf(&path, "%s%s", book, end);
    struct stat is;
    double bytes = stat(text_string(&path), &is) == 0 ? (double)is.st_size : 0;
    text_free(&path);
    return bytes;
}

/* Low is told once, and again at each halving. */
static void look_at_disk(struct recorder *recorder)
{
    struct statvfs disk;
    int64_t now = recorder->clock.now_ns(recorder->clock.context);
    if (now < recorder->disk_due_ns || statvfs(recorder->request.book, &disk) != 0)
        return;
    double size = bytes_of(recorder->request.book, "") + bytes_of(recorder->request.book, "-wal");
    double at_s = recorder_now_s(recorder);
    if (recorder->disk_due_ns == 0) {
        recorder->size_at_first = size;
        recorder->looked_first_s = at_s;
    }
    recorder->disk_due_ns = now + (int64_t)(look_at_disk_s * second_ns * recorder->clock.rate);
    double left = (double)disk.f_bavail * (double)disk.f_frsize;
    double grown = size - recorder->size_at_first, in_s = at_s - recorder->looked_first_s;
    if (left > recorder->disk_told_bytes)
        return;
    recorder->disk_told_bytes = left / 2;
    struct call call = call_disk_low(at_s, left, in_s > 60 && grown > 0 ? left / grown * in_s : NAN);
    recorder_call(recorder, &call);
}

void recorder_look_around(struct recorder *recorder)
{
    look_at_clock(recorder);
    look_at_disk(recorder);
}
