#include "intake/readings_file.h"

#include "base/memory.h"
#include "intake/amount.h"
#include "intake/ini.h"

enum { LOOK_BYTES = 65536, LOOK_LINES = 40 };
static const double day_s = 86400;

/* A remark runs from a # at the start of a line or after a blank, unless it stands in quotes. */
static struct span without_remark(struct span line, struct span *ret_remark)
{
    bool quoted = false;
    for (size_t k = 0; k < line.n; k++) {
        quoted ^= line.p[k] == '"';
        if (line.p[k] == '#' && !quoted && (k == 0 || line.p[k - 1] == ' ' || line.p[k - 1] == '\t')) {
            *ret_remark = span_from(line, k);
            line.n = k;
        }
    }
    return line;
}

/* Cuts the next line off the text, and its remark off the line. */
static bool next_line(struct span *text, struct span *ret_line, struct span *ret_remark)
{
    if (text->n == 0)
        return false;
    const char *end = memchr(text->p, '\n', text->n);
    struct span line = {text->p, end != NULL ? (size_t)(end - text->p) : text->n};
    *text = span_from(*text, line.n + (end != NULL));
    *ret_remark = (struct span){line.p, 0};
    *ret_line = without_remark(line, ret_remark);
    return true;
}

static struct span without_mark(struct span text)
{
    return text.n >= 3 && memcmp(text.p, "\xEF\xBB\xBF", 3) == 0 ? span_from(text, 3) : text;
}

static enum status read_instant(struct readings_file *file)
{
    struct instant instant;
    struct typed_time time;
    enum status status = readings_line_typed(&file->form, file->path, file->number, file->line, &instant,
                                             &time, file->notices, file->message);
    if (status != STATUS_OK)
        return status;
    if (file->clip_count == 0) { /* readings above any clip line are a clip of their own */
        file->clips = memory_grow(file->clips, file->clip_count, &file->clip_capacity);
        file->clips[file->clip_count++] = (struct clip){.line = file->number};
    }
    struct sightings *sightings = &file->sightings;
    instant.clip = (int)file->clip_count - 1;
    sightings->instants = memory_grow(sightings->instants, sightings->count, &sightings->capacity);
    file->times = memory_grow(file->times, sightings->count, &file->time_capacity);
    file->times[sightings->count] = time;
    sightings->instants[sightings->count++] = instant;
    return STATUS_OK;
}

static enum status read_lines(struct readings_file *file, struct span text)
{
    struct span remark;
    enum status status = STATUS_OK;
    while (status == STATUS_OK && next_line(&text, &file->line, &remark)) {
        bool taken = false;
        file->number++;
        size_t bad = span_bad_utf8(file->line);
        if (bad < file->line.n)
            return readings_fault(file, bad, "save the file as plain text in UTF-8",
                                  "this byte is no character of UTF-8");
        if (span_has_word(remark, "invented"))
            file->sightings.invented = true;
        if (span_trim(file->line).n == 0)
            continue;
        status = readings_heading(file, &taken);
        if (status == STATUS_OK && !taken)
            status = read_instant(file);
    }
    return status;
}

/* A fault of the time of instant `k`. */
static enum status time_fault(struct readings_file *file, size_t k, enum status status, const char *remedy,
                              const char *what)
{
    status_fail(file->message, status, "%s", what);
    status_remedy(file->message, "%s", remedy);
    status_at(file->message, file->path, file->sightings.instants[k].line, 1);
    return status;
}

/* What settles M:SS against H:MM without a guess: a heading, a clip with its start, or a time that can
 * be only one of the two. A first time of 0:00 is taken for the start, and said so. */
static enum times settle_times(struct readings_file *file)
{
    enum times times = file->form.times;
    const struct typed_time *first = NULL;
    for (size_t k = 0; k < file->clip_count && times == TIMES_NOT_STATED; k++)
        if (file->clips[k].has_start)
            times = TIMES_ELAPSED;
    for (size_t k = 0; k < file->sightings.count && times == TIMES_NOT_STATED; k++) {
        const struct typed_time *time = &file->times[k];
        if (time->form == TIME_CLOCK)
            times = TIMES_CLOCK;
        else if (time->form == TIME_UNITS || time->form == TIME_TIMECODE ||
                 (time->form == TIME_TWO && isnan(time->clock_s)))
            times = TIMES_ELAPSED;
        if (first == NULL && time->form != TIME_NONE)
            first = time;
    }
    if (times == TIMES_NOT_STATED && first != NULL && first->s < 1) {
        times = TIMES_ELAPSED;
        for (size_t k = 0; k < file->sightings.count; k++)
            if (file->times[k].form == TIME_TWO) {
                notices_add(
                    file->notices, "clock", file->sightings.instants[k].line,
                    "Times such as these are taken for minutes and seconds from the start, since the first is "
                    "zero; `times: clock` above the readings makes them hours and minutes.");
                break;
            }
    }
    return times;
}

/* A clock that falls by more than half a day has passed midnight. */
static double past_midnight(double s, double before)
{
    s += floor(before / day_s) * day_s;
    return before - s > day_s / 2 ? s + day_s : s;
}

/* Where the clip's own zero lies on the run's clock. */
static enum status start_clips(struct readings_file *file, enum times times)
{
    double before = -INFINITY;
    for (size_t k = 0; k < file->clip_count; k++) {
        struct clip *clip = &file->clips[k];
        if (!clip->has_start)
            continue;
        file->number = clip->line;
        file->line = span_of("");
        if (times == TIMES_CLOCK)
            return readings_fault(
                file, 0,
                "remove `starts …` where every line carries the clock, or write times from the "
                "start of the clip",
                "a clip cannot have a start when its lines carry the clock");
        if (isfinite(before))
            clip->start.s = past_midnight(clip->start.s, before);
        before = clip->start.s;
    }
    return STATUS_OK;
}

/* Typed times become seconds on the clip's clock, or the run's when tied. */
static enum status place_instant(struct readings_file *file, size_t k, enum times times, double *before)
{
    struct instant *instant = &file->sightings.instants[k];
    struct typed_time *time = &file->times[k];
    const struct clip *clip = &file->clips[instant->clip];
    if (time->form == TIME_NONE)
        return STATUS_OK;
    enum status status = typed_time_settle(time, times, file->message);
    if (status != STATUS_OK) {
        status_at(file->message, file->path, instant->line, 1);
        return status;
    }
    double s = time->s, halfwidth = time->halfwidth_s;
    if (file->sightings.tied && clip->has_start) {
        s += clip->start.s;
        halfwidth += clip->start.halfwidth_s;
    }
    if (times == TIMES_CLOCK && isfinite(*before))
        s = past_midnight(s, *before);
    if (isfinite(*before) && s + halfwidth < *before)
        return time_fault(file, k, STATUS_MALFORMED,
                          "put the lines in the order of time, begin a `clip` where the film was "
                          "cut, or state `times: clock` where midnight passed",
                          "this time is before that of the line above");
    /* the order typed is the order of time: the middle may not fall, the bounds stand */
    instant->t_s = fmax(s, *before);
    instant->halfwidth_s =
        fmax(halfwidth, fmax(instant->t_s - (s - halfwidth), s + halfwidth - instant->t_s));
    *before = instant->t_s;
    return STATUS_OK;
}

/* Counts from the first timed instant of the clip, or of the run once tied. */
static void subtract_start(struct readings_file *file, enum times times)
{
    struct sightings *sightings = &file->sightings;
    double start = NAN;
    int clip = -1;
    for (size_t k = 0; k < sightings->count; k++) {
        struct instant *instant = &sightings->instants[k];
        if (!sightings->tied && instant->clip != clip)
            start = NAN;
        clip = instant->clip;
        if (isnan(instant->t_s))
            continue;
        if (isnan(start)) {
            start = instant->t_s;
            bool on_clock = sightings->tied && (times == TIMES_CLOCK || file->clips[clip].has_start);
            if (on_clock && isnan(sightings->start_utc_s) && !isnan(file->date_s))
                sightings->start_utc_s = file->date_s + start - (isnan(file->zone_s) ? 0 : file->zone_s);
        }
        instant->t_s -= start;
    }
    sightings->zone_known = !isnan(sightings->start_utc_s) && !isnan(file->zone_s);
}

static enum status place_instants(struct readings_file *file)
{
    struct sightings *sightings = &file->sightings;
    enum times times = settle_times(file);
    enum status status = start_clips(file, times);
    double before = -INFINITY;
    int clip = -1;
    sightings->clips = (int)file->clip_count;
    sightings->tied = times == TIMES_CLOCK || file->clip_count == 1;
    for (size_t k = 0, started = 0; k < file->clip_count && !sightings->tied; k++) {
        started += file->clips[k].has_start;
        sightings->tied = started == file->clip_count;
    }
    for (size_t k = 0; k < sightings->count && status == STATUS_OK; k++) {
        if (!sightings->tied && sightings->instants[k].clip != clip)
            before = -INFINITY;
        clip = sightings->instants[k].clip;
        status = place_instant(file, k, times, &before);
    }
    if (status == STATUS_OK)
        subtract_start(file, times);
    return status;
}

enum status readings_read_text(const char *path, struct span text, struct sightings *ret_sightings,
                               struct notices *notices, struct message *message)
{
    struct readings_file file = {.path = path,
                                 .date_s = NAN,
                                 .zone_s = NAN,
                                 .notices = notices,
                                 .message = message,
                                 .sightings = {.start_utc_s = NAN}};
    enum status status = read_lines(&file, without_mark(text));
    if (status == STATUS_OK && file.sightings.count == 0) {
        status = status_fail(message, STATUS_UNREADABLE, "this file holds no readings");
        status_at(message, path, 0, 0);
        status_remedy(message, "write one instant a line, like `0:12:30 12.91 V 24.8 A`");
    }
    if (status == STATUS_OK)
        status = place_instants(&file);
    free(file.times);
    free(file.clips);
    if (status != STATUS_OK) {
        sightings_free(&file.sightings);
        return status;
    }
    *ret_sightings = file.sightings;
    return STATUS_OK;
}

enum status readings_read(const char *path, struct sightings *ret_sightings, struct notices *notices,
                          struct message *message)
{
    struct text text = TEXT_EMPTY;
    enum status status = ini_load(path, &text, message);
    if (status == STATUS_OK)
        status = readings_read_text(path, (struct span){text_string(&text), text.length}, ret_sightings,
                                    notices, message);
    text_free(&text);
    return status;
}

/* +1: an instant with units; -1: neither that nor a heading; 0: a heading, which tells nothing by itself,
 * since logs have preambles, but may name the columns. */
static int likeness(struct readings_file *file)
{
    bool taken;
    struct instant instant;
    struct typed_time time;
    if (readings_heading(file, &taken) != STATUS_OK)
        return -1;
    if (taken)
        return 0;
    struct readings_form form = file->form;
    form.rate.variable |= form.rate.nominal == 0; /* any timecode will do */
    if (readings_line_typed(&form, "", 0, file->line, &instant, &time, NULL, NULL) != STATUS_OK)
        return -1;
    bool like = instant.count > 0;
    instant_free(&instant);
    return like ? 1 : -1;
}

static bool text_looks_like(struct span text)
{
    struct notices notices = {0};
    struct readings_file file = {.path = "", .notices = &notices};
    int sum = 0, lines = 0;
    struct span remark;
    text = without_mark(text);
    while (lines < LOOK_LINES && next_line(&text, &file.line, &remark)) {
        if (span_trim(file.line).n == 0)
            continue;
        sum += likeness(&file);
        lines++;
    }
    free(file.clips);
    notices_free(&notices);
    return sum > 0;
}

bool readings_look_like(const char *path)
{
    const char *dot = strrchr(path, '.');
    if (dot != NULL && span_is_word(span_of(dot), ".readings"))
        return true;
    FILE *file = fopen(path, "rb");
    if (file == NULL)
        return false;
    char *head = memory_get(LOOK_BYTES);
    size_t count = fread(head, 1, LOOK_BYTES, file);
    fclose(file);
    bool like = text_looks_like((struct span){head, count});
    free(head);
    return like;
}
