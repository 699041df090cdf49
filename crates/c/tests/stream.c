/* Answers a stream with one worksheet a line, as the command does:
 * stream [PROTOCOL...] < worksheets.ndjson > answers.ndjson */

#define _POSIX_C_SOURCE 200809L

#include <stdio.h>
#include <stdlib.h>

#include "crossread.h"

static int add(crossread_rules *rules, const char *name)
{
    static char document[1 << 22];
    FILE *file = fopen(name, "rb");
    size_t length;
    char *text = NULL;
    crossread_status status;
    if (!file)
        return 1;
    length = fread(document, 1, sizeof document, file);
    fclose(file);
    status = crossread_rules_add(rules, document, length, &text);
    if (text)
        fprintf(stderr, "%s: %s\n", name, text);
    crossread_text_free(text);
    return status != CROSSREAD_STATUS_OK;
}

int main(int count, char **arguments)
{
    crossread_rules *rules = crossread_rules_new();
    char *line = NULL;
    size_t room = 0;
    ssize_t length;
    uint64_t number = 0;
    int argument;
    if (!rules)
        return 70;
    for (argument = 1; argument < count; argument++)
        if (add(rules, arguments[argument]))
            return 65;
    while ((length = getline(&line, &room, stdin)) > 0) {
        char *text = NULL;
        crossread_status status;
        if (line[length - 1] == '\n')
            length--;
        status = crossread_interpret(rules, line, (size_t)length, "<stdin>", ++number,
                                     CROSSREAD_LAYOUT_LINE, &text);
        if (status != CROSSREAD_STATUS_OK && status != CROSSREAD_STATUS_FAULTS) {
            fprintf(stderr, "line %lu: status %d: %s\n", (unsigned long)number, (int)status,
                    text ? text : "no text");
            return 70;
        }
        puts(text);
        crossread_text_free(text);
    }
    free(line);
    crossread_rules_free(rules);
    return 0;
}
