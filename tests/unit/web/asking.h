/* A workshop over the made book, and its routes asked without a socket. */
#ifndef RUNDOWN_TESTS_ASKING_H
#define RUNDOWN_TESTS_ASKING_H

#include "made_book.h"
#include "web/areas.h"

struct asking {
    struct scratch scratch;
    struct events *events;
    struct workshop *workshop;
    int64_t sample, run;
    struct http_reply reply; /* of the last question */
    json_t *json;            /* its body, where it is JSON */
};

static inline void asking_open(struct asking *asking)
{
    *asking = (struct asking){.json = NULL};
    made_book(&asking->scratch, &asking->sample, &asking->run);
    asking->events = events_new(256, 7);
    struct workshop_setup setup = {.book = asking->scratch.path, .events = asking->events, .spool = asking->scratch.folder};
    CHECK(workshop_open(&setup, &asking->workshop, &made_message) == STATUS_OK);
}

static inline void asking_forget(struct asking *asking)
{
    json_decref(asking->json);
    asking->json = NULL;
    text_free(&asking->reply.body);
    asking->reply = (struct http_reply){0};
}

static inline void asking_close(struct asking *asking)
{
    asking_forget(asking);
    workshop_close(asking->workshop);
    events_free(asking->events);
    scratch_remove(&asking->scratch);
}

/* Whether the pattern matches; `parts` point into `room`. */
static inline bool asking_match(const char *pattern, const char *path, char *room, size_t size, const char **ret_parts)
{
    size_t part = 0;
    while (*pattern != '\0' && *path != '\0') {
        if (strncmp(pattern, "{}", 2) != 0) {
            if (*pattern++ != *path++)
                return false;
            continue;
        }
        size_t n = strcspn(path, "/");
        if (n == 0 || n + 1 > size || part == HTTP_PARTS)
            return false;
        memcpy(room, path, n);
        room[n] = '\0';
        ret_parts[part++] = room;
        room += n + 1;
        size -= n + 1;
        path += n;
        pattern += 2;
    }
    return *pattern == *path;
}

/* The status of the answer; 0 when no route of the table takes it. `body_path`: an upload that was spooled. */
static inline int ask_file(struct asking *asking, const struct http_route *routes, const char *method, const char *path,
                           const struct http_pair *query, const char *body, const char *body_path)
{
    char room[300];
    asking_forget(asking);
    for (const struct http_route *route = routes; route->method != NULL; route++) {
        struct http_request request = {.method = method, .path = path, .query = query, .role = route->role, .session = "",
                                       .local = true, .from = "127.0.0.1", .body = span_of(body != NULL ? body : ""),
                                       .body_path = body_path};
        if (strcmp(route->method, method) != 0 || !asking_match(route->pattern, path, room, sizeof room, request.parts))
            continue;
        CHECK(request.body.n <= route->body_limit || request.body.n == 0);
        route->answer(asking->workshop, &request, &asking->reply);
        if (asking->reply.body.length > 0 && asking->reply.type == NULL)
            asking->json = json_loads(asking->reply.body.s, 0, NULL);
        return asking->reply.status != 0 ? asking->reply.status : 200;
    }
    return 0;
}

static inline int ask_with(struct asking *asking, const struct http_route *routes, const char *method, const char *path,
                           const struct http_pair *query, const char *body)
{
    return ask_file(asking, routes, method, path, query, body, NULL);
}

static inline int ask(struct asking *asking, const struct http_route *routes, const char *method, const char *path,
                      const char *body)
{
    return ask_with(asking, routes, method, path, NULL, body);
}

/* `fault.what`, or "". */
static inline const char *asking_fault(const struct asking *asking, const char *key)
{
    const char *words = json_string_value(json_object_get(json_object_get(asking->json, "fault"), key));
    return words != NULL ? words : "";
}

static inline const char *asking_words(const json_t *object, const char *key)
{
    const char *words = json_string_value(json_object_get(object, key));
    return words != NULL ? words : "";
}

static inline int64_t asking_number(const json_t *object, const char *key)
{
    return json_integer_value(json_object_get(object, key));
}

#endif
