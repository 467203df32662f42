from django.db import migrations

from haywright.office.stack.text_index import found_by_text


class Migration(migrations.Migration):
    dependencies = [("stack", "0003_carried_over_and_papers")]

    operations = [found_by_text()]
