"""What a person does at the controller: hold and step, hand mode, valve test."""
