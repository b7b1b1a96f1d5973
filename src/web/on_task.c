/* Long work: how far it is, and a way to stop it. */
#include "web/areas.h"
#include "web/tasks.h"

static void answer(struct tasks *tasks, const struct http_request *request, bool stop, struct http_reply *reply)
{
    int64_t id = 0;
    struct message message;
    if (http_id(request->parts[0], &id, &message) != STATUS_OK) {
        http_fail(reply, 0, &message);
        return;
    }
    if (stop)
        task_stop(tasks, id);
    json_t *object = task_json(tasks, id);
    if (object != NULL)
        http_json(reply, object);
    else
        http_refuse(reply, 404, "there is no task %lld; those of an earlier start are gone", (long long)id);
}

static void on_get(void *context, const struct http_request *request, struct http_reply *reply)
{
    answer(workshop_tasks(context), request, false, reply);
}

static void on_delete(void *context, const struct http_request *request, struct http_reply *reply)
{
    answer(workshop_tasks(context), request, true, reply);
}

const struct http_route task_routes[] = {
    {.method = "GET", .pattern = "/api/tasks/{}", .role = HTTP_READER, .answer = on_get},
    {.method = "DELETE", .pattern = "/api/tasks/{}", .role = HTTP_OPERATOR, .body_limit = 1024, .answer = on_delete},
    {0},
};
