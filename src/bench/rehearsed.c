#include "bench/rehearsed.h"

#include "base/clock.h"
#include "base/memory.h"
#include "rehearsal/served.h"
#include "rehearsal/truth_json.h"

const char rehearsed_topic[] = "rehearsal", rehearsed_truth_topic[] = "truth of the rehearsal";

struct rehearsed {
    struct text script_text;
    struct script script;
    struct rehearsal *rehearsal;
    struct clock_paced pace;
    struct clock clock;
    struct served *served;
    double speed;
    char rig_name[64];
    struct text rig, label;
};

static enum status check_speed(double speed, struct message *message)
{
    if (speed >= 1 && speed <= 10000)
        return STATUS_OK;
    status_fail(message, STATUS_USAGE, "a rehearsal cannot be played %.6g times faster than life", speed);
    return status_remedy(message, "give a number from 1 to 10000");
}

static enum status serve(struct rehearsed *rehearsed, struct message *message)
{
    static const struct bench_ports any = {0};
    rehearsed->clock = clock_at_rate(&rehearsed->pace, rehearsed->speed);
    enum status status =
        served_open(rehearsed->rehearsal, &rehearsed->clock, &any, false, &rehearsed->served, message);
    if (status != STATUS_OK)
        return status;
    bench_rig(rehearsed->rehearsal, served_ports(rehearsed->served), rehearsed->speed, &rehearsed->rig);
    bench_label(rehearsed->rehearsal, &rehearsed->label);
    snprintf(rehearsed->rig_name, sizeof rehearsed->rig_name, "rehearsal, seed %u", (unsigned)rehearsed->script.seed);
    return STATUS_OK;
}

enum status rehearsed_open(const struct rehearsed_request *request, struct rehearsed **ret_rehearsed,
                           struct message *message)
{
    enum status status = check_speed(request->speed, message);
    if (status != STATUS_OK)
        return status;
    struct rehearsed *rehearsed = memory_get(sizeof *rehearsed);
    struct span script = request->script.p != NULL ? request->script : span_of(script_default);
    rehearsed->speed = request->speed;
    text_add_bytes(&rehearsed->script_text, script.p, script.n);
    status = script_read_text(request->name, script, &rehearsed->script, message);
    if (status != STATUS_OK) {
        text_free(&rehearsed->script_text);
        free(rehearsed);
        return status;
    }
    if (!isnan(request->seed))
        rehearsed->script.seed = (uint32_t)request->seed;
    rehearsed->rehearsal = rehearsal_new(&rehearsed->script);
    status = serve(rehearsed, message);
    if (status != STATUS_OK) {
        rehearsed_close(rehearsed);
        return status;
    }
    *ret_rehearsed = rehearsed;
    return STATUS_OK;
}

void rehearsed_go_on(struct rehearsed *rehearsed, double gone_by_s)
{
    live_begin_at(served_live(rehearsed->served), gone_by_s);
}

void rehearsed_close(struct rehearsed *rehearsed)
{
    if (rehearsed == NULL)
        return;
    served_close(rehearsed->served);
    rehearsal_free(rehearsed->rehearsal);
    script_free(&rehearsed->script);
    text_free(&rehearsed->script_text);
    text_free(&rehearsed->rig);
    text_free(&rehearsed->label);
    free(rehearsed);
}

const char *rehearsed_name(const struct rehearsed *rehearsed)
{
    return rehearsed->script.name;
}

const char *rehearsed_rig_name(const struct rehearsed *rehearsed)
{
    return rehearsed->rig_name;
}

struct span rehearsed_rig(const struct rehearsed *rehearsed)
{
    return (struct span){text_string(&rehearsed->rig), rehearsed->rig.length};
}

struct span rehearsed_label(const struct rehearsed *rehearsed)
{
    return (struct span){text_string(&rehearsed->label), rehearsed->label.length};
}

bool rehearsed_over(const struct rehearsed *rehearsed)
{
    return live_over(served_live(rehearsed->served));
}

void rehearsed_truth(const struct rehearsed *rehearsed, struct text *text)
{
    truth_json(rehearsed->rehearsal, text);
}

json_t *rehearsed_json(const struct rehearsed *rehearsed)
{
    json_t *value = json_object();
    json_put_words(value, "script", text_string(&rehearsed->script_text));
    json_put(value, "seed", json_integer(rehearsed->script.seed));
    json_put(value, "speed", json_number(rehearsed->speed));
    return value;
}

enum status rehearsed_of_json(const json_t *value, struct rehearsed_request *ret_request, struct message *message)
{
    const char *script = json_string_value(json_object_get(value, "script"));
    const json_t *seed = json_object_get(value, "seed"), *speed = json_object_get(value, "speed");
    if (script == NULL || !json_is_integer(seed) || !json_is_number(speed))
        return status_fail(message, STATUS_MALFORMED, "the book does not say what this rehearsal was of");
    *ret_request = (struct rehearsed_request){.name = "the script of the rehearsal",
                                              .script = span_of(script),
                                              .seed = (double)json_integer_value(seed),
                                              .speed = json_number_value(speed)};
    return STATUS_OK;
}
