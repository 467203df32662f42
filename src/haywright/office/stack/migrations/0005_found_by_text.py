from django.db import migrations

from haywright.office.stack.text_index import found_by_text


class Migration(migrations.Migration):
    dependencies = [("stack", "0004_what_a_lot_waits_for")]

    operations = [found_by_text()]
